// Sections begun: of a picture or a drawing that was handed over, or a plain shape.
import {nameOf, sections} from "./sections.js";

// With its key where it was added, which is behind the others.
export async function addDrawn(desk, path, file) {
  const stem = file.replace(/\.[^.]*$/, "").replace(/[-_]+/g, " ").trim() || "section",
    name = freeName(desk, (n) => (n === 1 ? stem : `${stem} ${n}`), 1),
    answer = await desk.edit([{do: "add", key: "section", values: {name, ...sourceOf(path)}}], `${file} added`);
  return {...answer, key: `section[${sections(desk).length}]`};
}

// What a section or a view says of the file, handed over, that its outline comes from.
export function sourceOf(path) {
  return path.startsWith("pictures/") ? {picture: {file: path}} : {outline: path};
}

// A plain shape, whose sizes are for whoever measures it to give.
export async function addPlain({desk, go}) {
  const next = sections(desk).length + 1,
    name = freeName(desk, (n) => nameOf(null, n), next),
    values = {name, measured: {form: "ellipse"}},
    answer = await desk.edit([{do: "add", key: "section", values}], "plain shape added");
  if (answer.ok) go("measure", `section[${next}].height`);
  return answer;
}

// The first name that no section has, numbers counted from `first`.
export function freeName(desk, named, first) {
  const taken = new Set(sections(desk).map((one, n) => nameOf(one, n + 1)));
  for (let n = first; ; n++) if (!taken.has(named(n))) return named(n);
}
