// The sections from a side: each a line at its height, the thing between them, profiles and views dashed.
import {h, path, s} from "./dom.js";
import {boundsOf, plot, words} from "./section_plot.js";

const NAMES = [
  ["left", "right"],
  ["front", "back"],
];

// From the front (axis 0) or from the right (axis 1), as {element, move(section, shift)}.
export function heightsPlot(sections, profiles, axis, chosen) {
  const extents = sections.map((one) => {
      const bounds = boundsOf([one.placed.ring]);
      return [bounds[axis], bounds[axis + 2], one.height];
    }),
    given = NAMES[axis].map((name) => profiles[name]).filter(Boolean),
    sides = given.map((list) => list.map(([z, v]) => [v, z]));
  const ends = extents.flatMap(([a, b, z]) => [
      [a, z],
      [b, z],
    ]),
    bounds = boundsOf([ends, [[extents[0][0], 0]], ...sides]);
  const label = axis ? "heights from the right: front on the left" : "heights from the front",
    lines = new Map();
  let skin = null;
  const silhouette = (moved, by) => {
    const at = extents.map(([a, b, z], n) => {
      const d = sections[n] === moved ? by : 0;
      return [a + d, b + d, z];
    });
    return path([...at.map(([a, , z]) => [a, z]), ...at.reverse().map(([, b, z]) => [b, z])]);
  };

  function draw(upright, unit, figure) {
    skin = s("path", {class: "filled", d: silhouette(null, 0)});
    upright.append(skin);
    for (const side of sides) upright.append(s("path", {class: "other", d: path(side, false)}));
    sections.forEach((one, n) => {
      const [a, b, z] = extents[n],
        spread = 2 * one.placed.spread[axis],
        mine = one.number === chosen;
      const line = s("path", {class: mine ? "mine" : "outline", d: `M${a} ${z}H${b}`}),
        doubt = {
          class: "ellipse",
          x: (a + b) / 2 - spread,
          y: z - 3 * unit,
          width: 2 * spread,
          height: 6 * unit,
        };
      upright.append(line, s("rect", doubt));
      lines.set(one.number, line);
      words(figure, b - 4 * unit, z + 6 * unit, one.name, {anchor: "end", kind: mine ? "label" : ""});
    });
  }

  const figure = plot(bounds, label, draw, {wide: 420, high: 300}),
    caption = axis ? "From the right: the front is on the left." : "From the front.";
  return {
    element: h(
      "figure",
      {},
      figure,
      h("figcaption", {}, caption + (given.length ? " Dashed: as profiles and views show it." : "")),
    ),
    move(section, shift) {
      lines.get(section.number).setAttribute("transform", `translate(${shift[axis]} 0)`);
      skin.setAttribute("d", silhouette(section, shift[axis]));
    },
  };
}
