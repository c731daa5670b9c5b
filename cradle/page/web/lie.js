// Where a section lies, given by hand: dragged or moved with the arrow keys, from above; everything else follows.
import {h, path, s, short} from "./dom.js";
import {boundsOf, plot} from "./section_plot.js";

const STEP_MM = 0.1,
  STEP_DEG = 0.5;

// The sections from above as a figure; the chosen one can be dragged, and turned by its knob.
export function above({desk}, sections, chosen, ellipse, choose) {
  const told = h("p", {class: "small", role: "status"}),
    mine = sections.find((one) => one.number === chosen);
  let group = null,
    upright = null,
    shift = [0, 0],
    turn = 0;
  const middle = (one) => {
    const [x0, y0, x1, y1] = boundsOf([one.placed.ring]);
    return [(x0 + x1) / 2, (y0 + y1) / 2];
  };
  const figure = plot(
    boundsOf(sections.map((one) => one.placed.ring)),
    "all sections from above, the front at the bottom",
    (drawn, unit) => {
      upright = drawn;
      for (const one of sections) {
        if (one === mine) continue;
        drawn.append(
          s("path", {
            class: "outline",
            d: path(one.placed.ring),
            style: "cursor:pointer",
            "pointer-events": "stroke",
            onclick: () => choose(one.number),
          }),
          ellipse(one.placed),
        );
      }
      if (!mine) return;
      const [x, y] = middle(mine),
        [, , , top] = boundsOf([mine.placed.ring]),
        high = top - y + 14 * unit;
      group = s("g", {});
      const body = s("path", {
        class: "filled chosen",
        d: path(mine.placed.ring),
        style: "cursor:move",
        tabindex: "0",
        role: "button",
        "aria-label": `${mine.name}: arrow keys move it by ${STEP_MM} mm, Page Up and Page Down turn it`,
        onpointerdown: (event) => drag(event, move),
        onkeydown: keyed,
      });
      const knob = s("circle", {
        class: "handle",
        cx: x,
        cy: y + high,
        r: 7 * unit,
        "stroke-width": 1.5 * unit,
        "aria-hidden": "true",
        onpointerdown: (event) => drag(event, rotate),
      });
      group.append(body, s("path", {class: "axis", d: `M${x} ${y}V${y + high}`}), ellipse(mine.placed), knob);
      drawn.append(group);
    },
    "group",
  );

  function place() {
    const [x, y] = middle(mine);
    group.setAttribute("transform", `translate(${shift[0]} ${shift[1]}) rotate(${turn} ${x} ${y})`);
    told.textContent = `${mine.name}: moved by ${short(shift[0])}, ${short(shift[1])} mm, turned by ${short(turn, 1)}°.`;
  }

  function move(now, start) {
    shift = [now[0] - start[0], now[1] - start[1]];
  }

  function rotate(now, start) {
    const [x, y] = middle(mine),
      angle = (p) => (Math.atan2(p[1] - y, p[0] - x) * 180) / Math.PI;
    turn = angle(now) - angle(start);
  }

  function drag(event, change) {
    event.preventDefault();
    const target = event.target;
    target.setPointerCapture(event.pointerId);
    const at = (e) => {
      const p = new DOMPoint(e.clientX, e.clientY).matrixTransform(upright.getScreenCTM().inverse());
      return [p.x, p.y];
    };
    const start = at(event);
    const moved = (e) => {
      change(at(e), start);
      place();
    };
    const done = () => {
      target.removeEventListener("pointermove", moved);
      target.removeEventListener("pointerup", done);
      target.removeEventListener("pointercancel", done);
      save();
    };
    target.addEventListener("pointermove", moved);
    target.addEventListener("pointerup", done);
    target.addEventListener("pointercancel", done);
  }

  let timer = 0;
  function keyed(event) {
    const way = {ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1]}[event.key],
      spin = {PageUp: 1, PageDown: -1}[event.key];
    if (!way && !spin) return;
    event.preventDefault();
    if (way)
      shift = [
        shift[0] + way[0] * STEP_MM * (event.shiftKey ? 10 : 1),
        shift[1] + way[1] * STEP_MM * (event.shiftKey ? 10 : 1),
      ];
    else turn += spin * STEP_DEG;
    place();
    clearTimeout(timer);
    timer = setTimeout(save, 500);
  }

  // A shift is the place of the middle; a turn counts from the sheet as it was drawn.
  async function save() {
    const [x, y] = middle(mine),
      prefix = `section[${mine.number}]`,
      steps = [];
    if (Math.hypot(...shift) > 0.005)
      steps.push({
        do: "set",
        key: `${prefix}.shift`,
        value: `${(x + shift[0]).toFixed(2)} ${(y + shift[1]).toFixed(2)}`,
      });
    if (Math.abs(turn) > 0.05)
      steps.push({
        do: "set",
        key: `${prefix}.turn`,
        value: String(+(mine.placed.whole_turn + turn).toFixed(2)),
      });
    shift = [0, 0];
    turn = 0;
    if (!steps.length) return;
    const answer = await desk.edit(steps, `${mine.name} moved`);
    if (!answer.ok) told.textContent = answer.problems.map((p) => p.words).join(" ");
  }

  return h(
    "figure",
    {},
    figure,
    told,
    h(
      "figcaption",
      {},
      "From above, the front at the bottom. Ellipses: where the middles lie, two standard uncertainties wide. Drag the chosen section, or its knob to turn it: what you give counts as measured.",
    ),
  );
}
