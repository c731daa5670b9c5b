// A picture that can be moved and enlarged, with outlines over it and a glass under the pointer.
// Places are in px of the picture: x to the right, y down, the middle of the first pixel at 0, 0.
import {h, s} from "./dom.js";
import {BY_KEY, fingers, placeIn} from "./fingers.js";
import {Glass} from "./glass.js";
import {cross, outlines, scaleMarks, twoPoints} from "./picture_marks.js";

const LEAST = 0.02,
  MOST = 30;
const LABEL =
  "The picture. Arrow keys move the cross, Enter sets a point, plus and minus change the size, Escape lets go.";

export class PictureView {
  constructor() {
    this.canvas = h("canvas", {tabindex: "0", role: "application", "aria-label": LABEL});
    this.lines = s("svg", {class: "over"});
    this.glass = new Glass(this);
    this.note = h("p", {class: "note", role: "status", hidden: true});
    this.element = h("div", {class: "picture"}, this.canvas, this.lines, this.glass.element, this.note);
    this.image = null;
    this.zoom = 1;
    this.left = this.top = 0;
    this.fitted = true;
    this.over = {pieces: [], ends: []};
    this.cross = null;
    this.handles = null;
    this.loaded = Promise.resolve();
    this.onclick = () => {};
    this.listen();
    this.watch = new ResizeObserver(() => (this.fitted ? this.whole() : this.draw()));
    this.watch.observe(this.element);
  }

  leave() {
    this.watch.disconnect();
  }

  load(address) {
    const image = new Image();
    this.wanted = address;
    this.image = null;
    this.cross = null;
    this.draw();
    this.loaded = new Promise((done) => {
      image.addEventListener("load", () => {
        if (this.wanted === address) {
          this.image = image;
          this.whole();
        }
        done();
      });
      image.addEventListener("error", done);
    });
    image.src = address;
  }

  // What is being done with the picture, or why it is not shown, over it.
  say(words) {
    this.note.hidden = !words;
    this.note.textContent = words;
  }

  whole() {
    this.fitted = true;
    if (this.image) this.fit([0, 0, this.image.naturalWidth, this.image.naturalHeight], 1);
  }

  // Bring a box of px to the middle; it fills a part of the view.
  fit([x0, y0, x1, y1], part) {
    const {clientWidth: w, clientHeight: height} = this.element;
    this.zoom = part * Math.min(w / (x1 - x0), height / (y1 - y0)) || 1;
    this.left = (w - (x0 + x1) * this.zoom) / 2;
    this.top = (height - (y0 + y1) * this.zoom) / 2;
    this.draw();
  }

  overlay(over) {
    this.over = over;
    this.draw();
  }

  // From the screen to the picture, and back.
  place(x, y) {
    return [(x - this.left) / this.zoom - 0.5, (y - this.top) / this.zoom - 0.5];
  }

  spot([x, y]) {
    return [(x + 0.5) * this.zoom + this.left, (y + 0.5) * this.zoom + this.top];
  }

  // Where an event is in the element.
  at(event) {
    return placeIn(this.element, event);
  }

  enlarge(by, x, y) {
    const zoom = Math.max(LEAST, Math.min(MOST, this.zoom * by));
    this.left = x - ((x - this.left) * zoom) / this.zoom;
    this.top = y - ((y - this.top) * zoom) / this.zoom;
    this.zoom = zoom;
    this.fitted = false;
    this.draw();
  }

  draw() {
    const {clientWidth: w, clientHeight: height} = this.element,
      ratio = window.devicePixelRatio || 1;
    if (!w) return;
    this.canvas.width = Math.round(w * ratio);
    this.canvas.height = Math.round(height * ratio);
    const pen = this.canvas.getContext("2d");
    pen.scale(ratio, ratio);
    pen.imageSmoothingEnabled = this.zoom < 3;
    if (this.image) {
      const {naturalWidth, naturalHeight} = this.image;
      pen.drawImage(this.image, this.left, this.top, naturalWidth * this.zoom, naturalHeight * this.zoom);
    }
    this.lines.setAttribute("viewBox", `0 0 ${w} ${height}`);
    const at = (points) => points.map((p) => this.spot(p)),
      {pieces, ends, scale} = this.over;
    if (this.handles) this.handles.draw(this.lines, at);
    else
      this.lines.replaceChildren(
        ...outlines(pieces, at),
        ...(scale ? scaleMarks(scale, at) : []),
        ...twoPoints(at(ends)),
        ...(this.cross ? cross(this.spot(this.cross)) : []),
      );
  }

  listen() {
    const {canvas, element, glass} = this,
      touches = (event) => event.pointerType === "touch";
    fingers(canvas, {
      moved: (dx, dy) => this.slide(dx, dy),
      enlarged: (by, x, y) => this.enlarge(by, x, y),
      pressed: (x, y) => this.image && this.onclick(...this.place(x, y)),
      around: element,
    });
    canvas.addEventListener("pointerdown", (event) => {
      if (touches(event) && event.isPrimary) glass.show(...this.at(event));
    });
    canvas.addEventListener("pointermove", (event) => {
      if (!event.buttons) glass.show(...this.at(event));
    });
    canvas.addEventListener("pointerup", (event) => {
      if (touches(event)) glass.hide();
    });
    canvas.addEventListener("pointerleave", () => glass.hide());
    canvas.addEventListener("keydown", (event) => this.keyed(event));
  }

  slide(dx, dy) {
    this.left += dx;
    this.top += dy;
    this.fitted = false;
    this.glass.hide();
    this.draw();
  }

  keyed(event) {
    if (!this.image) return;
    const middle = [this.element.clientWidth / 2, this.element.clientHeight / 2],
      ways = {ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1]},
      way = ways[event.key],
      here = this.cross ? this.spot(this.cross) : middle;
    if (way) {
      const far = (event.shiftKey ? 20 : 2) / this.zoom;
      this.cross = this.cross ? this.cross.map((v, k) => v + way[k] * far) : this.place(...middle);
      this.draw();
      this.glass.show(...this.spot(this.cross));
    } else if (event.key === "Enter" && this.cross) this.onclick(...this.cross);
    else if (event.key in BY_KEY) this.enlarge(BY_KEY[event.key], ...here);
    else if (event.key === "Escape") {
      this.cross = null;
      this.glass.hide();
      this.draw();
    } else return;
    event.preventDefault();
  }
}
