// The field that a finding or a mistake is about, and the step it stands in.
const STEPS = {section: "measure", side: "measure", view: "measure", loft: "stack", test_pieces: "fit"};

export function stepOf(where) {
  if (where === "fit.clearance") return "fit";
  return STEPS[where.split(/[.[]/)[0]] || "holder";
}

// Its key, its step, and words for it; null where there is none.
export function fieldOf(desk, where) {
  if (!where) return null;
  const sections = (desk.state.values && desk.state.values.section) || [];
  const height = (n) => `section[${n + 1}].height`;
  const named = where.match(/section ["'](.+?)["']/);
  if (named) {
    const number = sections.findIndex((one, n) => (one.name || `section ${n + 1}`) === named[1]);
    return number < 0 ? null : {key: height(number), step: "measure", words: named[1]};
  }
  const file = sections.findIndex((one) => [one.outline, one.picture && one.picture.file].includes(where));
  if (file >= 0) return {key: height(file), step: "measure", words: sections[file].name || where};
  const table = where.split(/[.[]/)[0];
  if (!(table in desk.schema) || !where.includes(".")) return null;
  return {key: where, step: stepOf(where), words: wordsOf(where)};
}

// A key as people say it: "section[2].height" is "section 2 height".
export function wordsOf(key) {
  return key.replace(/\[(\d+)\]/g, " $1").replace(/[._]/g, " ");
}
