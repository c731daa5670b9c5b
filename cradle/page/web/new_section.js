// Sections begun: of a picture or a drawing that was handed over, or a plain shape.
import {nameOf, sections} from "./places.js";

// With its number where it was added: sections stand in the order of their heights.
export async function addDrawn(desk, path, file) {
  const source = path.startsWith("pictures/") ? {picture: {file: path}} : {outline: path},
    name = nameAfter(desk, file),
    answer = await desk.edit([{do: "add", key: "section", values: {name, ...source}}], `${file} added`);
  return {...answer, number: 1 + sections(desk).findIndex((one) => one.name === name)};
}

// A plain shape, whose sizes are for whoever measures it to give.
export async function addPlain({desk, go}) {
  const all = sections(desk),
    values = {name: freeName(all), measured: {form: "ellipse"}},
    answer = await desk.edit([{do: "add", key: "section", values}], "plain shape added");
  if (answer.ok) go("measure", `section[${all.length + 1}].height`);
  return answer;
}

function freeName(all) {
  const taken = new Set(all.map((one, n) => nameOf(one, n + 1)));
  for (let n = all.length + 1; ; n++) if (!taken.has(`section ${n}`)) return `section ${n}`;
}

// The file's name without its ending, and a number where it is taken already.
function nameAfter(desk, file) {
  const taken = new Set(sections(desk).map((one) => one.name)),
    bare = file.replace(/\.[^.]*$/, "").replace(/[-_]+/g, " "),
    stem = bare.trim() || "section";
  for (let n = 1; ; n++) {
    const words = n === 1 ? stem : `${stem} ${n}`;
    if (!taken.has(words)) return words;
  }
}
