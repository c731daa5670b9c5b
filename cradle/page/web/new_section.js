// Sections begun: of a picture or a drawing that was handed over, or a plain shape.
import {fromBottom, nameOf, sections} from "./sections.js";

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

// How a section's field of its outline takes a file in place of the one that it has: a picture as a picture.
export function takenAs(desk, prefix) {
  return (spec) => (spec.key === "outline" ? {take: (path) => takeFile(desk, prefix, path)} : {});
}

function takeFile(desk, prefix, path) {
  const {outline = "", picture} = sourceOf(path),
    steps = [{do: "set", key: `${prefix}.outline`, value: outline}];
  if (picture) steps.push({do: "set", key: `${prefix}.picture.file`, value: picture.file});
  return desk.edit(steps, `${path.split("/").pop()} taken`);
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

// One at a height that is advised, of the kind of the one below it: a plain shape has its form, and to one that is
// drawn the file is still to be given. What was begun there before is gone to.
export async function addAt({desk, go}, height) {
  const all = sections(desk),
    below = fromBottom(desk).filter(([one]) => one.height < height),
    [like] = below[below.length - 1] || fromBottom(desk)[0],
    form = like.measured && like.measured.form,
    there = 1 + all.findIndex((one) => one.height === height),
    [step, key] = form ? ["measure", "measured.width"] : ["outline", "outline"];
  if (!there) {
    const name = freeName(desk, (n) => `at ${height} mm${n > 1 ? ` (${n})` : ""}`, 1),
      values = {name, height: String(height), ...(form ? {measured: {form}} : {})},
      answer = await desk.edit([{do: "add", key: "section", values}], `section at ${height} mm begun`);
    if (!answer.ok) return;
  }
  go(step, `section[${there || all.length + 1}].${key}`);
}

// The first name that no section has, numbers counted from `first`.
export function freeName(desk, named, first) {
  const taken = new Set(sections(desk).map((one, n) => nameOf(one, n + 1)));
  for (let n = first; ; n++) if (!taken.has(named(n))) return named(n);
}
