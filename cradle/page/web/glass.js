// A glass beside the pointer: the picture five times as large as on the screen, with the place in its middle.
import {h} from "./dom.js";
import {MINE, OTHER} from "./picture_marks.js";

const SIZE = 150,
  CLOSER = 5,
  CROSS = 30;

export class Glass {
  constructor(view) {
    this.view = view;
    this.element = h("canvas", {
      class: "glass",
      hidden: true,
      width: SIZE,
      height: SIZE,
      "aria-hidden": "true",
    });
  }

  hide() {
    this.element.hidden = true;
  }

  show(x, y) {
    const {view} = this;
    if (!view.image) return;
    const pen = this.element.getContext("2d"),
      [px, py] = view.place(x, y),
      close = view.zoom * CLOSER,
      size = SIZE / close,
      middle = SIZE / 2;
    pen.imageSmoothingEnabled = false;
    pen.fillStyle = "#888";
    pen.fillRect(0, 0, SIZE, SIZE);
    pen.drawImage(view.image, px + 0.5 - size / 2, py + 0.5 - size / 2, size, size, 0, 0, SIZE, SIZE);
    const near = (p) => [(p[0] - px) * close + middle, (p[1] - py) * close + middle];
    const rings = view.handles ? [{ring: view.handles.points, picked: true}] : view.over.pieces;
    for (const one of rings) {
      pen.strokeStyle = one.picked ? MINE : OTHER;
      pen.lineWidth = 1.5;
      pen.beginPath();
      for (const p of one.ring) pen.lineTo(...near(p));
      pen.closePath();
      pen.stroke();
    }
    pen.strokeStyle = "#000";
    pen.lineWidth = 1;
    pen.beginPath();
    pen.moveTo(middle, middle - CROSS);
    pen.lineTo(middle, middle + CROSS);
    pen.moveTo(middle - CROSS, middle);
    pen.lineTo(middle + CROSS, middle);
    pen.stroke();
    const {clientWidth, clientHeight} = view.element,
      left = x > clientWidth / 2 ? x - SIZE - 30 : x + 30,
      top = Math.max(0, Math.min(clientHeight - SIZE, y - middle));
    this.element.style.left = `${left}px`;
    this.element.style.top = `${top}px`;
    this.element.hidden = false;
  }
}
