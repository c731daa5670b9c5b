// Plots in mm, y upwards: words, handles and dashes keep their size on the screen whatever the plot's size is.
import {h, path, s, short} from "./dom.js";

const ROOM = 0.14,
  WIDE = 560,
  HIGH = 420;

export function boundsOf(rings) {
  const points = rings.flat();
  if (!points.length) return [-10, -10, 10, 10];
  const xs = points.map((p) => p[0]),
    ys = points.map((p) => p[1]);
  return [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
}

// A drawing with room around; "draw" is given its upright group, the size of a px in mm, and the figure for words.
export function plot(bounds, label, draw, {role = "img", wide = WIDE, high = HIGH} = {}) {
  const [x0, y0, x1, y1] = bounds,
    room = ROOM * Math.max(x1 - x0, y1 - y0, 1),
    width = x1 - x0 + 2 * room,
    height = y1 - y0 + 2 * room,
    unit = Math.max(width / wide, height / high);
  const figure = s("svg", {
    class: "plot",
    viewBox: `${x0 - room} ${-(y1 + room)} ${width} ${height}`,
    role,
    "aria-label": label,
    style: `--px: ${unit}`,
  });
  const upright = s("g", {transform: "scale(1 -1)"});
  figure.append(upright);
  draw(upright, unit, figure);
  new ResizeObserver(() => {
    const scale = Math.min(figure.clientWidth / width, figure.clientHeight / height);
    if (scale > 0) figure.style.setProperty("--px", 1 / scale);
  }).observe(figure);
  return figure;
}

export function words(figure, x, y, text, {anchor = "middle", kind = ""} = {}) {
  figure.append(s("text", {class: kind, x, y: -y, "text-anchor": anchor}, text));
}

function upwards(figure, x, y, text) {
  const place = `translate(${x} ${-y}) rotate(-90)`;
  figure.append(s("text", {transform: place, "text-anchor": "middle"}, text));
}

// A section from above as a figure, with what its lines are; null where it was not read or has no outline.
export function sectionFigure(section) {
  const ring = section && (section.placed ? section.placed.ring : section.outline);
  if (!ring) return null;
  const {name, placed} = section,
    scaled = placed && placed.scale.some((v) => v !== 1);
  return h(
    "figure",
    {},
    sectionPlot(name, ring, (placed || section).size, scaled ? placed.scale : null),
    h(
      "figcaption",
      {},
      `${name} from above, the front at the bottom.`,
      scaled ? " Blue: the outline, brought to its readings. Dashed: as drawn." : "",
    ),
  );
}

// Its outline, of which only the points that show are drawn, its width and depth; dashed as it was before its readings scaled it.
function sectionPlot(name, ring, [width, depth], scale) {
  const bounds = boundsOf([ring]),
    [x0, y0, x1, y1] = bounds,
    middle = [(x0 + x1) / 2, (y0 + y1) / 2],
    size = `${short(width)} × ${short(depth)} mm`;
  return plot(bounds, `${name} from above, the front at the bottom, ${size}`, (upright, unit, figure) => {
    if (scale) {
      const drawn = ring.map((p) => p.map((v, k) => middle[k] + (v - middle[k]) / scale[k]));
      upright.append(s("path", {class: "other", d: path(drawn)}));
    }
    upright.append(s("path", {class: "filled", d: path(ring)}));
    const low = y0 - 14 * unit,
      left = x0 - 14 * unit;
    upright.append(s("path", {class: "axis", d: `M${x0} ${low}H${x1}M${left} ${y0}V${y1}`}));
    words(figure, middle[0], low - 18 * unit, short(width));
    upwards(figure, left - 6 * unit, middle[1], short(depth));
  });
}
