// What is drawn over a picture, in px of the screen: outlines, the marks of its scale, two points, a cross.
import {path, s} from "./dom.js";

export const MINE = "#d61f60";
export const OTHER = "#0b5fa8";
const SCALE = "#00803f";

// The outlines of the pieces with their numbers; the picked one is whole, the others dashed.
export function outlines(pieces, at) {
  return pieces.flatMap((one) => {
    const d = path(at(one.ring)),
      [x, y] = at([one.ring[0]])[0],
      mine = one.picked;
    const under = {
        d,
        fill: mine ? MINE : "none",
        "fill-opacity": 0.12,
        stroke: "#fff",
        "stroke-opacity": 0.7,
      },
      line = {d, fill: "none", stroke: mine ? MINE : OTHER, "stroke-dasharray": mine ? "" : "6 4"};
    return [
      s("path", {...under, "stroke-width": 5}),
      s("path", {...line, "stroke-width": mine ? 2.5 : 1.8}),
      s("text", {x, y: y - 6, class: "number"}, String(one.number)),
    ];
  });
}

export function scaleMarks({region, marks}, at) {
  const around = region
    ? [s("path", {d: path(at(region)), fill: "none", stroke: SCALE, "stroke-width": 1.5})]
    : [];
  return [...around, ...at(marks).map(([cx, cy]) => s("circle", {cx, cy, r: 1.8, fill: SCALE}))];
}

export function twoPoints(spots) {
  const line = {stroke: MINE, "stroke-width": 1.5, fill: "none"},
    plus = ([x, y]) =>
      s("path", {...line, "stroke-width": 2, d: `M${x - 9} ${y}H${x + 9}M${x} ${y - 9}V${y + 9}`}),
    between = spots.length === 2 ? [s("path", {...line, d: path(spots, false)})] : [];
  return [...between, ...spots.map(plus)];
}

export function cross([x, y]) {
  const d = `M${x - 14} ${y}H${x + 14}M${x} ${y - 14}V${y + 14}`;
  return [
    s("path", {d, stroke: "#000", "stroke-width": 3}),
    s("path", {d, stroke: "#fff", "stroke-width": 1}),
  ];
}
