// The points of an outline, moved, added and taken away by hand. What comes of it is a drawing of the project's own.
import {button, h, path, s, short} from "./dom.js";
import {boundsOf, plot} from "./section_plot.js";

const MOST = 80,
  GRAB = 9;

// Every n-th point is not enough: those that matter most to the shape stay (Visvalingam and Whyatt 1993: least triangle goes first).
export function thinned(ring, most) {
  const points = ring.map((p) => [...p]);
  const weight = (n) => {
    const a = points[(n + points.length - 1) % points.length],
      b = points[n],
      c = points[(n + 1) % points.length];
    return Math.abs((b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1]));
  };
  while (points.length > most) {
    let least = 0,
      low = Infinity;
    for (let n = 0; n < points.length; n++) {
      const w = weight(n);
      if (w < low) {
        low = w;
        least = n;
      }
    }
    points.splice(least, 1);
  }
  return points;
}

export function adjust({desk, view, go}, prefix, section) {
  const points = thinned(section.outline, MOST),
    before = section.outline,
    error = h("p", {class: "error", role: "alert"}),
    told = h("p", {class: "small", role: "status"});
  let chosen = 0,
    figure = null,
    upright = null,
    unit = 1;

  function draw() {
    figure = plot(
      boundsOf([before]),
      `points of ${section.name}`,
      (group, px) => {
        upright = group;
        unit = px;
        group.append(
          s("path", {class: "other", d: path(before)}),
          s("path", {class: "outline", d: path(points)}),
        );
        points.forEach(([x, y], n) =>
          group.append(
            s("circle", {
              class: "handle",
              cx: x,
              cy: y,
              r: (n === chosen ? 7 : 4.5) * px,
              tabindex: "0",
              role: "button",
              "aria-label": `point ${n + 1} of ${points.length} at ${short(x)}, ${short(y)} mm`,
              onpointerdown: (event) => grab(event, n),
              onfocus: () => pick(n),
              onkeydown: (event) => keyed(event, n),
              "stroke-width": 1.5 * px,
            }),
          ),
        );
      },
      "group",
    );
    view.replaceChildren(
      h("h2", {}, `Points of ${section.name}`),
      h(
        "p",
        {class: "small"},
        "Drag a point, or go to it with Tab and move it with the arrow keys by 0.1 mm (with Shift by 1 mm). Dashed: as it was.",
      ),
      figure,
      told,
      h(
        "div",
        {class: "row"},
        button("Add a point behind this one", add),
        button("Take this point away", remove),
        button("Save the outline", save, {class: "first"}),
        button(
          "Leave it as it was",
          () => {
            view.replaceChildren();
            go("measure");
            go("outline", prefix);
          },
          {class: "plain"},
        ),
      ),
      error,
    );
    tell();
  }

  function tell() {
    const [x0, y0, x1, y1] = boundsOf([points]);
    told.textContent = `Point ${chosen + 1} of ${points.length}: ${short(points[chosen][0])}, ${short(points[chosen][1])} mm. The outline is ${short(x1 - x0)} × ${short(y1 - y0)} mm.`;
  }

  function follow() {
    const [, outline, ...handles] = upright.childNodes;
    outline.setAttribute("d", path(points));
    handles.forEach((handle, n) => {
      handle.setAttribute("cx", points[n][0]);
      handle.setAttribute("cy", points[n][1]);
      handle.setAttribute("r", (n === chosen ? 7 : 4.5) * unit);
    });
    tell();
  }

  function pick(n) {
    chosen = n;
    follow();
  }

  function grab(event, n) {
    event.preventDefault();
    chosen = n;
    const handle = event.target;
    handle.setPointerCapture(event.pointerId);
    const place = (e) => {
      const at = new DOMPoint(e.clientX, e.clientY).matrixTransform(upright.getScreenCTM().inverse());
      return [at.x, at.y];
    };
    const start = place(event),
      first = [...points[n]];
    const moved = (e) => {
      const now = place(e);
      if (Math.hypot(now[0] - start[0], now[1] - start[1]) < (unit * GRAB) / 9) return;
      points[n] = [first[0] + now[0] - start[0], first[1] + now[1] - start[1]];
      follow();
    };
    const done = () => {
      handle.removeEventListener("pointermove", moved);
      handle.removeEventListener("pointerup", done);
      handle.removeEventListener("pointercancel", done);
    };
    handle.addEventListener("pointermove", moved);
    handle.addEventListener("pointerup", done);
    handle.addEventListener("pointercancel", done);
    follow();
  }

  function keyed(event, n) {
    const way = {ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1]}[event.key];
    if (event.key === "Delete") {
      remove();
      return;
    }
    if (!way) return;
    event.preventDefault();
    const step = event.shiftKey ? 1 : 0.1;
    points[n] = [points[n][0] + way[0] * step, points[n][1] + way[1] * step];
    follow();
  }

  function add() {
    const a = points[chosen],
      b = points[(chosen + 1) % points.length];
    points.splice(chosen + 1, 0, [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2]);
    chosen += 1;
    draw();
  }

  function remove() {
    if (points.length <= 3) {
      error.textContent = "An outline has at least three points.";
      return;
    }
    points.splice(chosen, 1);
    chosen = Math.min(chosen, points.length - 1);
    draw();
  }

  async function save() {
    const lines = points.map(([x, y]) => `${x.toFixed(3)},${y.toFixed(3)}\n`).join("");
    const {path: file, problems} = await desk.upload(new File([lines], `${section.name} by hand.csv`));
    if (!file) {
      error.textContent = problems.map((p) => p.words).join(" ");
      return;
    }
    const kept = Object.fromEntries(
      Object.entries(desk.value(prefix))
        .filter(([key]) => !["picture", "measured", "outline", "layer", "unit"].includes(key))
        .map(([key, value]) => [
          key,
          Array.isArray(value) ? value.join(" ") : typeof value === "boolean" ? value : String(value),
        ]),
    );
    const answer = await desk.edit(
      [{do: "put", key: prefix, values: {...kept, outline: file}}],
      `points of ${section.name}`,
    );
    if (answer.ok) {
      go("measure");
      go("outline", prefix);
    } else error.textContent = answer.problems.map((p) => p.words).join(" ");
  }

  draw();
}
