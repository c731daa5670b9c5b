// Where a section lies, given by hand: dragged or moved with the arrow keys, from above; everything else follows.
import {h, path, reasons, s, short} from "./dom.js";
import {arrow, drag, placeIn} from "./dragging.js";
import {boundsOf, plot} from "./section_plot.js";

const STEP_MM = 0.1,
  STEP_DEG = 0.5,
  PAUSE_MS = 500;

function middleOf(section) {
  const [x0, y0, x1, y1] = boundsOf([section.placed.ring]);
  return [(x0 + x1) / 2, (y0 + y1) / 2];
}

// The sections from above as a figure; the chosen one can be dragged, and turned by its knob.
// "onmoved" is told of each move as it happens: how far the chosen section is from where it was; "freed", that it was let
// go where it had been.
export function above({desk}, sections, chosen, {choose, onmoved, freed}) {
  const told = h("p", {class: "small", role: "status"}),
    mine = sections.find((one) => one.number === chosen),
    bounds = boundsOf(sections.map((one) => one.placed.ring)),
    label = "all sections from above, the front at the bottom";
  let group = null,
    body = null,
    upright = null,
    shift = [0, 0],
    turn = 0,
    held = false,
    timer = 0;
  const figure = plot(bounds, label, draw, {role: "group", wide: 420, high: 300});

  function draw(drawn, unit) {
    upright = drawn;
    for (const one of sections) {
      if (one === mine) continue;
      const outline = {
        class: "outline",
        d: path(one.placed.ring),
        style: "cursor:pointer",
        "pointer-events": "stroke",
        onclick: () => choose(one.number),
      };
      drawn.append(s("path", outline), spreadEllipse(one));
    }
    if (!mine) return;
    const [x, y] = middleOf(mine),
      top = boundsOf([mine.placed.ring])[3] + 16 * unit;
    body = s("path", {
      class: "mine",
      d: path(mine.placed.ring),
      style: "cursor:move",
      tabindex: "0",
      role: "button",
      "aria-label": `${mine.name}: arrow keys move it by ${STEP_MM} mm, Page Up and Page Down turn it`,
      onpointerdown: (event) => take(event, move),
      onkeydown: keyed,
    });
    const knob = s("circle", {
      class: "handle large",
      cx: x,
      cy: top,
      "aria-hidden": "true",
      onpointerdown: (event) => take(event, rotate),
    });
    group = s("g", {}, body, s("path", {class: "axis", d: `M${x} ${y}V${top}`}), spreadEllipse(mine), knob);
    drawn.append(group);
  }

  // Nothing is drawn anew under a hand, though it stands where it began.
  function take(event, moved) {
    held = true;
    drag(event, (e) => placeIn(upright, e), {moved, done: save});
  }

  function place() {
    const [x, y] = middleOf(mine);
    group.setAttribute("transform", `translate(${shift[0]} ${shift[1]}) rotate(${turn} ${x} ${y})`);
    told.textContent =
      `${mine.name}: moved by ${short(shift[0])}, ${short(shift[1])} mm, turned by ${short(turn, 1)}°.`;
    onmoved(mine, shift);
  }

  function move(now, start) {
    shift = [now[0] - start[0], now[1] - start[1]];
    place();
  }

  function rotate(now, start) {
    const [x, y] = middleOf(mine),
      angle = (p) => (Math.atan2(p[1] - y, p[0] - x) * 180) / Math.PI;
    turn = angle(now) - angle(start);
    place();
  }

  function keyed(event) {
    const way = arrow(event),
      spin = {PageUp: 1, PageDown: -1}[event.key];
    if (!way && !spin) return;
    event.preventDefault();
    const step = STEP_MM * (event.shiftKey ? 10 : 1);
    if (way) shift = shift.map((v, k) => v + way[k] * step);
    else turn += spin * STEP_DEG;
    place();
    clearTimeout(timer);
    timer = setTimeout(save, PAUSE_MS);
  }

  // A shift is the place of the middle; a turn counts from the sheet as it was drawn.
  async function save() {
    const middle = middleOf(mine),
      prefix = `section[${mine.number}]`,
      steps = [];
    if (Math.hypot(...shift) > 0.005) {
      const value = middle.map((v, k) => (v + shift[k]).toFixed(2)).join(" ");
      steps.push({do: "set", key: `${prefix}.shift`, value});
    }
    if (Math.abs(turn) > 0.05) {
      const value = String(+(mine.placed.whole_turn + turn).toFixed(2));
      steps.push({do: "set", key: `${prefix}.turn`, value});
    }
    shift = [0, 0];
    turn = 0;
    held = false;
    if (!steps.length) {
      freed();
      return;
    }
    const answer = await desk.edit(steps, `${mine.name} moved`);
    if (answer.ok) return;
    place();
    told.textContent = reasons(answer.problems);
  }

  const caption =
    "From above, the front at the bottom. Drag the marked section, or its knob to turn it: what you give counts as" +
    " measured. Ellipses: where the middles lie, two standard uncertainties wide.";
  return {
    element: h("figure", {}, figure, told, h("figcaption", {}, caption)),
    focus() {
      if (body) body.focus();
    },
    focused: () => body !== null && document.activeElement === body,
    busy: () => held || Math.hypot(...shift) > 0 || turn !== 0,
  };
}

// The middle of a section and how surely it is known: twice the standard uncertainty.
function spreadEllipse(section) {
  const [[a, b], [, d]] = section.placed.covariance,
    mean = (a + d) / 2,
    half = Math.hypot((a - d) / 2, b),
    turn = ((Math.atan2(2 * b, a - d) / 2) * 180) / Math.PI,
    [x, y] = middleOf(section);
  return s("ellipse", {
    class: "ellipse",
    rx: 2 * Math.sqrt(Math.max(mean + half, 0)),
    ry: 2 * Math.sqrt(Math.max(mean - half, 0)),
    transform: `translate(${x} ${y}) rotate(${turn})`,
  });
}
