// The chance over the clearance: read off the curve at once, and drawn.
import {exact, path, s, short} from "./dom.js";

// Straight between the curve's points, level beyond its ends.
function chanceAt(curve, clearance) {
  if (!curve || !curve.length) return null;
  if (clearance <= curve[0][0]) return curve[0][1];
  for (let n = 1; n < curve.length; n++) {
    const [c0, p0] = curve[n - 1],
      [c1, p1] = curve[n];
    if (clearance <= c1) return p0 + ((p1 - p0) * (clearance - c0)) / (c1 - c0);
  }
  return curve[curve.length - 1][1];
}

function percent(chance) {
  return chance > 0.99 ? "more than 99 %" : `about ${Math.round(100 * chance)} %`;
}

// What can be told of another clearance before it is built; each cause belongs to a clearance along the curve.
export function glance(holder, clearance) {
  if (holder.stage !== "done" || !(clearance >= 0)) return null;
  const chance = chanceAt(holder.curve, clearance),
    name = holder.thing_name;
  return {
    chance,
    words:
      `At ${exact(clearance)} mm per side, chance that ${name} goes in ` +
      `${holder.lined ? "pressing its lining at most" : "without touching"}: ${percent(chance)}.`,
    why: chance > 0.99 ? "" : causeWords(nearest(holder.causes || [], clearance) || holder.cause),
  };
}

function nearest(causes, clearance) {
  const far = (one) => Math.abs(one.clearance - clearance);
  return causes.reduce((best, one) => (!best || far(one) < far(best) ? one : best), null);
}

function causeWords({height, where, because}) {
  const place = `${short(height, 1)} mm (${where})`;
  return `Where it is too tight, that is most often at ${place}, mostly because of ${because}.`;
}

const PLOT = {width: 400, height: 200, left: 52, right: 14, top: 12, low: 44};

// The curve with the chance asked for dashed across, and the clearance that is looked at.
export function curvePlot(holder, clearance) {
  const {curve, goal} = holder,
    {width, height, left, right, top, low} = PLOT,
    most = Math.max(shownMost(curve), clearance, 0.5),
    end = width - right,
    floor = height - low;
  const x = (c) => left + (end - left) * Math.min(c / most, 1),
    y = (p) => floor - (floor - top) * p,
    at = chanceAt(curve, clearance),
    text = (where, words, anchor = "middle") => s("text", {...where, "text-anchor": anchor}, words),
    inside = curve.filter(([c]) => c <= most),
    line = [...inside, [most, chanceAt(curve, most)]].map(([c, p]) => [x(c), y(p)]);
  return s(
    "svg",
    {
      class: "plot curve-plot",
      viewBox: `0 0 ${width} ${height}`,
      role: "img",
      "aria-label": `chance over clearance; ${percent(at)} at ${exact(clearance)} mm per side`,
    },
    [0, 0.5, 1].map((p) => [
      s("path", {class: "axis", d: `M${left} ${y(p)}H${end}`}),
      text({x: left - 6, y: y(p) + 4}, `${100 * p} %`, "end"),
    ]),
    ticks(most).map((c) => text({x: x(c), y: floor + 17}, short(c, 1))),
    text({x: (left + end) / 2, y: height - 6}, "clearance, mm per side"),
    s("path", {class: "other", d: `M${left} ${y(goal)}H${end}`}),
    s("path", {class: "curve", d: path(line, false)}),
    s("path", {class: "asked", d: `M${x(clearance)} ${top}V${floor}`}),
    s("circle", {class: "dot", cx: x(clearance), cy: y(at), r: 5}),
  );
}

// As far as the curve still rises.
function shownMost(curve) {
  const high = curve.find(([, p]) => p >= 0.995);
  return (high || curve[curve.length - 1])[0];
}

// Round numbers from 0, at most seven.
function ticks(most) {
  const step = [0.1, 0.2, 0.5, 1, 2, 5, 10].find((one) => most / one <= 6) || most,
    out = [];
  for (let c = 0; c <= most + 1e-9; c += step) out.push(c);
  return out;
}
