// What is told of a picture: its scale with sources and doubt, and which of its pieces is the outline.
import {h, sentence, short} from "./dom.js";
import {small} from "./layout.js";

const NO_SCALE =
  "Nothing in the picture tells its scale. Use “Scale by two points”: press two marks of a ruler in it.",
  BY_SECTIONS = "Nothing in the picture tells its scale. None is needed: the view’s size is found from the sections.";

// A view of free size needs no scale.
export function pictureWords(found, free) {
  const [used, ...others] = found.scales || [],
    enough = free && found.any_size,
    said = (found.findings || []).filter((f) => f.severity !== "note"),
    also = [...new Set(others.filter((one) => one.also).map((one) => one.told))];
  if (!found.scales) return found.problems.map((p) => h("p", {class: "error"}, p.words)); // it came to nothing before its scale
  return [
    ...(enough ? [] : found.problems || []).map((p) => h("p", {class: "error"}, p.words)),
    used
      ? h("p", {}, h("strong", {}, "Scale: "), scaleWords(used))
      : h("p", {}, enough ? BY_SECTIONS : NO_SCALE),
    also.length ? small(`Also found: ${also.join("; ")}.`) : null,
    h("p", {}, h("strong", {}, "Outline: "), pieceWords(found.pieces || [])),
    ...said.map((f) =>
      small(sentence(f.message), " ", f.advice ? sentence(f.advice) : ""),
    ),
  ].filter(Boolean);
}

function scaleWords({told, uncertainty, residuals}) {
  const most = Math.max(0, ...residuals.map(Math.abs));
  const parts = [
    told,
    uncertainty ? `sure to ${short(uncertainty)}\u00a0%` : null,
    most >= 0.01 ? `its marks at most ${short(most)} mm off` : null,
  ];
  return `${parts.filter(Boolean).join(", ")}.`;
}

export function sizeWords(piece) {
  return piece.size ? `${short(piece.size[0])} × ${short(piece.size[1])} mm` : "size not known";
}

function pieceWords(list) {
  const mine = list.find((one) => one.picked);
  if (mine)
    return `piece ${mine.number} of ${list.length}, ${sizeWords(mine)}${mine.size ? `, its edge sure to ${short(mine.edge)} mm` : ""}.`;
  if (!list.length) return "none was found.";
  return `there are ${list.length} to choose from. Press the right one in the picture, or choose it by its number.`;
}
