// The chance over the clearance: read off the curve at once, and drawn.
import {path, s, short} from "./dom.js";

// Straight between the curve's points, level beyond its ends.
export function chanceAt(curve, clearance) {
  if (!curve || !curve.length) return null;
  if (clearance <= curve[0][0]) return curve[0][1];
  for (let n = 1; n < curve.length; n++) {
    const [c0, p0] = curve[n - 1],
      [c1, p1] = curve[n];
    if (clearance <= c1) return p0 + ((p1 - p0) * (clearance - c0)) / (c1 - c0);
  }
  return curve[curve.length - 1][1];
}

export function percent(chance) {
  return chance > 0.99 ? "more than 99 %" : `${Math.round(100 * chance)} %`;
}

// What can be told of another clearance before it is built; causes are [[clearance, height, where, because], ...] along the curve.
export function glance(holder, clearance) {
  if (holder.stage !== "done" || !(clearance >= 0)) return null;
  const chance = chanceAt(holder.curve, clearance);
  const cause =
    (holder.causes || []).reduce(
      (best, one) =>
        !best || Math.abs(one.clearance - clearance) < Math.abs(best.clearance - clearance) ? one : best,
      null,
    ) || holder.cause;
  return {
    chance,
    words: `At ${short(clearance)} mm per side, chance that ${holder.thing_name} goes in without touching: about ${percent(chance)}.`,
    why:
      chance > 0.99
        ? ""
        : `Where it is too tight, that is most often at ${short(cause.height, 1)} mm (${cause.where}), mostly because of ${cause.because}.`,
  };
}

export function curvePlot(holder, clearance) {
  const {curve, goal} = holder,
    width = 420,
    height = 190,
    left = 40,
    low = 30,
    top = 10,
    most = Math.max(curve[curve.length - 1][0], 0.5);
  const x = (c) => left + (width - left - 10) * Math.min(c / most, 1),
    y = (p) => height - low - (height - low - top) * p;
  const figure = s("svg", {
    class: "plot",
    viewBox: `0 0 ${width} ${height}`,
    role: "img",
    "aria-label": `chance over clearance; ${percent(chanceAt(curve, clearance))} at ${short(clearance)} mm per side`,
  });
  for (const p of [0, 0.5, 1])
    figure.append(
      s("path", {class: "axis", d: `M${left} ${y(p)}H${width - 10}`}),
      s("text", {x: left - 5, y: y(p) + 4, "text-anchor": "end"}, `${100 * p} %`),
    );
  for (let c = 0; c <= most + 1e-9; c += most > 1 ? 0.5 : 0.1)
    figure.append(s("text", {x: x(c), y: height - 12, "text-anchor": "middle"}, short(c, 1)));
  figure.append(
    s("path", {class: "other", d: `M${left} ${y(goal)}H${width - 10}`}),
    s("path", {
      class: "curve",
      d: path(
        curve.map(([c, p]) => [x(c), y(p)]),
        false,
      ),
    }),
    s("path", {class: "asked", d: `M${x(clearance)} ${top}V${height - low}`}),
    s("circle", {class: "dot", cx: x(clearance), cy: y(chanceAt(curve, clearance)), r: 5}),
    s("text", {class: "soft", x: width - 10, y: height - 1, "text-anchor": "end"}, "clearance, mm per side"),
  );
  return figure;
}
