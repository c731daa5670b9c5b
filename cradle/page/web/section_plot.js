// A section from above as a plot: its outline, its pocket or trace, its width and depth.
import {path, s, short} from "./dom.js";

export function boundsOf(rings) {
  const points = rings.flat();
  if (!points.length) return [-10, -10, 10, 10];
  const xs = points.map((p) => p[0]),
    ys = points.map((p) => p[1]);
  return [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
}

// A drawing in mm, y upwards, with room around; children are made by a function that is told the size of one px in mm.
export function plot(bounds, label, draw, role = "img") {
  const [x0, y0, x1, y1] = bounds,
    room = 0.14 * Math.max(x1 - x0, y1 - y0, 1),
    width = x1 - x0 + 2 * room,
    height = y1 - y0 + 2 * room;
  const unit = Math.max(width / 560, height / 420);
  const figure = s("svg", {
    class: "plot",
    viewBox: `${x0 - room} ${-(y1 + room)} ${width} ${height}`,
    role,
    "aria-label": label,
  });
  const upright = s("g", {transform: "scale(1 -1)"});
  figure.append(upright);
  draw(upright, unit, figure);
  return figure;
}

export function words(figure, unit, x, y, text, anchor = "middle") {
  figure.append(s("text", {x, y: -y, "text-anchor": anchor, style: `font-size:${13 * unit}px`}, text));
}

export function sectionPlot(section) {
  const placed = section.placed,
    ring = placed ? placed.ring : section.outline;
  if (!ring) return null;
  const bounds = boundsOf([ring]),
    [x0, y0, x1, y1] = bounds;
  const size = `${short(x1 - x0)} × ${short(y1 - y0)} mm`;
  return plot(
    bounds,
    `${section.name} from above, the front at the bottom, ${size}`,
    (upright, unit, figure) => {
      if (placed && (placed.scale[0] !== 1 || placed.scale[1] !== 1)) {
        const cx = (x0 + x1) / 2,
          cy = (y0 + y1) / 2;
        upright.append(
          s("path", {
            class: "other",
            d: path(ring.map(([x, y]) => [cx + (x - cx) / placed.scale[0], cy + (y - cy) / placed.scale[1]])),
          }),
        );
      }
      upright.append(s("path", {class: "filled", d: path(ring)}));
      const low = y0 - 14 * unit,
        left = x0 - 14 * unit;
      upright.append(s("path", {class: "axis", d: `M${x0} ${low}H${x1}M${left} ${y0}V${y1}`}));
      words(figure, unit, (x0 + x1) / 2, low - 14 * unit, short(x1 - x0));
      figure.append(
        s(
          "text",
          {
            transform: `translate(${left - 6 * unit} ${-(y0 + y1) / 2}) rotate(-90)`,
            "text-anchor": "middle",
            style: `font-size:${13 * unit}px`,
          },
          short(y1 - y0),
        ),
      );
    },
  );
}
