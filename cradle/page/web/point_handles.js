// The points of an outline as handles that are dragged, or moved with the arrow keys; a press on the line adds one.
import {path, s} from "./dom.js";
import {arrow, drag} from "./dragging.js";

// "surface" tells {locate(event), step(), downwards}: the place of an event, an arrow key's step, which way y grows.
export class PointHandles {
  constructor(model, surface, changed) {
    Object.assign(this, {model, surface, changed});
    this.parent = null;
    this.circles = [];
  }

  get points() {
    return this.model.points;
  }

  draw(parent, at) {
    if (parent !== this.parent || this.circles.length !== this.points.length) this.build(parent);
    const shown = at(this.points),
      d = path(shown, !this.model.open);
    this.closing.setAttribute("d", this.model.open ? path([shown[0], shown[shown.length - 1]], false) : "");
    for (const line of [this.under, this.line, this.hit]) line.setAttribute("d", d);
    shown.forEach(([x, y], n) => {
      const circle = this.circles[n];
      circle.setAttribute("cx", x);
      circle.setAttribute("cy", y);
      circle.setAttribute("class", n === this.model.chosen ? "handle large" : "handle");
    });
  }

  build(parent) {
    const held = this.circles.includes(document.activeElement);
    this.parent = parent;
    this.closing = s("path", {class: "other"});
    this.under = s("path", {class: "under"});
    this.line = s("path", {class: "line"});
    this.hit = s("path", {class: "hit", onpointerdown: (event) => this.press(event)});
    this.circles = this.points.map((_, n) =>
      s("circle", {
        class: "handle",
        tabindex: "0",
        role: "button",
        "aria-label": `point ${n + 1} of ${this.points.length}`,
        onpointerdown: (event) => this.grab(event, n),
        onfocus: () => this.choose(n),
        onkeydown: (event) => this.keyed(event, n),
      }),
    );
    parent.replaceChildren(this.closing, this.under, this.line, this.hit, ...this.circles);
    if (held) this.circles[this.model.chosen].focus();
  }

  choose(n) {
    if (this.model.chosen === n) return;
    this.model.chosen = n;
    this.changed();
  }

  // A new point where the line was pressed, in the hand at once.
  press(event) {
    const place = this.surface.locate(event);
    this.model.insert(this.model.nearestStretch(place), place);
    this.changed();
    this.grab(event, this.model.chosen, {kept: true});
  }

  // "kept": how the outline was is remembered already.
  grab(event, n, {kept = false} = {}) {
    event.stopPropagation();
    const circle = this.circles[n],
      first = [...this.points[n]];
    let held = kept;
    this.model.chosen = n;
    circle.focus({preventScroll: true});
    const moved = (now, start, e) => {
      if (!held) this.model.keep();
      held = true;
      this.model.move(n, [first[0] + now[0] - start[0], first[1] + now[1] - start[1]]);
      this.changed(e);
    };
    drag(event, this.surface.locate, {target: circle, moved, done: () => this.changed()});
    this.changed();
  }

  keyed(event, n) {
    const way = arrow(event);
    if (event.key === "Delete") this.model.remove();
    else if (event.key === "Insert") this.model.add();
    else if (way) {
      const step = this.surface.step() * (event.shiftKey ? 10 : 1),
        up = this.surface.downwards ? -1 : 1;
      this.model.keep();
      this.model.move(n, [this.points[n][0] + way[0] * step, this.points[n][1] + up * way[1] * step]);
    } else return;
    event.preventDefault();
    event.stopPropagation();
    this.changed();
  }
}
