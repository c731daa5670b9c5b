// The sections of the project: what it says of each, what it is called, and what was read of it.

export function sections(desk) {
  return (desk.state.values && desk.state.values.section) || [];
}

// Each with its number in the file, from bottom to top; those whose height is not known come last.
export function fromBottom(desk) {
  return desk.state.from_bottom.map((number) => [sections(desk)[number - 1], number]);
}

export function nameOf(section, number) {
  return (section && section.name) || `section ${number}`;
}

// Its outline, size and place as far as they are known; undefined before it was read.
export function readOf(desk, number) {
  return desk.sections.sections.find((one) => one.number === number);
}

// The number of the section that a key belongs to; 0 where it belongs to none.
export function numberIn(key) {
  const [, number] = key.match(/^section\[(\d+)\]/) || [];
  return Number(number || 0);
}
