// A picture that can be moved and enlarged, with outlines over it and a glass under the pointer.
// Places are in px of the picture: x to the right, y down, the middle of the first pixel at 0, 0.
import {h, path, s} from "./dom.js";

const GLASS = 150,
  CLOSE = 5,
  MOVED = 5;

export class PictureView {
  constructor() {
    this.canvas = h("canvas", {
      tabindex: "0",
      role: "application",
      "aria-label":
        "The picture. Arrow keys move the cross, Enter sets a point, plus and minus change the size.",
    });
    this.lines = s("svg", {"aria-hidden": "true", style: "pointer-events:none"});
    this.glass = h("canvas", {class: "glass", hidden: true, width: GLASS, height: GLASS});
    this.element = h("div", {class: "picture"}, this.canvas, this.lines, this.glass);
    this.image = null;
    this.zoom = 1;
    this.left = 0;
    this.top = 0;
    this.over = {pieces: [], ends: []};
    this.cross = null;
    this.onclick = () => {};
    this.listen();
    this.watch = new ResizeObserver(() => this.draw());
    this.watch.observe(this.element);
  }

  leave() {
    this.watch.disconnect();
  }

  load(address) {
    const image = new Image();
    this.image = null;
    this.draw();
    image.addEventListener("load", () => {
      this.image = image;
      this.whole();
    });
    image.src = address;
  }

  whole() {
    if (!this.image) return;
    const {clientWidth: w, clientHeight: height} = this.element;
    this.zoom = Math.min(w / this.image.naturalWidth, height / this.image.naturalHeight) || 1;
    this.left = (w - this.image.naturalWidth * this.zoom) / 2;
    this.top = (height - this.image.naturalHeight * this.zoom) / 2;
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

  enlarge(by, x, y) {
    const zoom = Math.max(0.02, Math.min(30, this.zoom * by));
    this.left = x - ((x - this.left) * zoom) / this.zoom;
    this.top = y - ((y - this.top) * zoom) / this.zoom;
    this.zoom = zoom;
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
    if (this.image)
      pen.drawImage(
        this.image,
        this.left,
        this.top,
        this.image.naturalWidth * this.zoom,
        this.image.naturalHeight * this.zoom,
      );
    this.lines.setAttribute("viewBox", `0 0 ${w} ${height}`);
    const {pieces, ends, scale} = this.over,
      at = (points) => points.map((p) => this.spot(p));
    const parts = pieces.flatMap((one) => [
      s("path", {
        d: path(at(one.ring)),
        fill: one.picked ? "#d61f60" : "none",
        "fill-opacity": 0.12,
        stroke: "#fff",
        "stroke-width": one.picked ? 5 : 4,
        "stroke-opacity": 0.7,
      }),
      s("path", {
        d: path(at(one.ring)),
        fill: "none",
        stroke: one.picked ? "#d61f60" : "#0b5fa8",
        "stroke-width": one.picked ? 2.5 : 1.6,
        "stroke-dasharray": one.picked ? "" : "6 4",
      }),
      s(
        "text",
        {
          x: at([one.ring[0]])[0][0],
          y: at([one.ring[0]])[0][1],
          "font-size": 15,
          "font-weight": 700,
          fill: "#0b3f6e",
          stroke: "#fff",
          "stroke-width": 3,
          "paint-order": "stroke",
        },
        String(one.number),
      ),
    ]);
    if (scale) {
      if (scale.region)
        parts.push(
          s("path", {d: path(at(scale.region)), fill: "none", stroke: "#00803f", "stroke-width": 1.5}),
        );
      for (const mark of scale.marks) {
        const [x, y] = this.spot(mark);
        parts.push(s("circle", {cx: x, cy: y, r: 1.8, fill: "#00803f"}));
      }
    }
    const spots = at(ends);
    if (spots.length === 2)
      parts.push(s("path", {d: path(spots, false), stroke: "#d61f60", "stroke-width": 1.5, fill: "none"}));
    for (const [x, y] of spots)
      parts.push(
        s("path", {
          d: `M${x - 9} ${y}H${x + 9}M${x} ${y - 9}V${y + 9}`,
          stroke: "#d61f60",
          "stroke-width": 2,
          fill: "none",
        }),
      );
    if (this.cross) {
      const [x, y] = this.spot(this.cross);
      parts.push(
        s("path", {
          d: `M${x - 14} ${y}H${x + 14}M${x} ${y - 14}V${y + 14}`,
          stroke: "#000",
          "stroke-width": 3,
        }),
        s("path", {
          d: `M${x - 14} ${y}H${x + 14}M${x} ${y - 14}V${y + 14}`,
          stroke: "#fff",
          "stroke-width": 1,
        }),
      );
    }
    this.lines.replaceChildren(...parts);
  }

  // Five times as large as on the screen, with the place in the middle.
  magnify(x, y) {
    if (!this.image) return;
    const pen = this.glass.getContext("2d"),
      [px, py] = this.place(x, y),
      size = GLASS / (this.zoom * CLOSE);
    pen.imageSmoothingEnabled = false;
    pen.fillStyle = "#888";
    pen.fillRect(0, 0, GLASS, GLASS);
    pen.drawImage(this.image, px + 0.5 - size / 2, py + 0.5 - size / 2, size, size, 0, 0, GLASS, GLASS);
    const near = (p) => [
      (p[0] - px) * this.zoom * CLOSE + GLASS / 2,
      (p[1] - py) * this.zoom * CLOSE + GLASS / 2,
    ];
    for (const one of this.over.pieces) {
      pen.strokeStyle = one.picked ? "#d61f60" : "#0b5fa8";
      pen.lineWidth = 1.5;
      pen.beginPath();
      one.ring.forEach((p, n) => {
        const [a, b] = near(p);
        if (n) pen.lineTo(a, b);
        else pen.moveTo(a, b);
      });
      pen.closePath();
      pen.stroke();
    }
    pen.strokeStyle = "#000";
    pen.lineWidth = 1;
    pen.beginPath();
    pen.moveTo(GLASS / 2, 45);
    pen.lineTo(GLASS / 2, GLASS - 45);
    pen.moveTo(45, GLASS / 2);
    pen.lineTo(GLASS - 45, GLASS / 2);
    pen.stroke();
    const left = x > this.element.clientWidth / 2 ? x - GLASS - 30 : x + 30;
    this.glass.style.left = `${left}px`;
    this.glass.style.top = `${Math.max(0, Math.min(this.element.clientHeight - GLASS, y - GLASS / 2))}px`;
    this.glass.hidden = false;
  }

  listen() {
    const fingers = new Map();
    let start = null,
      apart = 0,
      dragged = false;
    const at = (event) => {
      const box = this.element.getBoundingClientRect();
      return [event.clientX - box.left, event.clientY - box.top];
    };
    this.canvas.addEventListener("pointerdown", (event) => {
      this.canvas.setPointerCapture(event.pointerId);
      fingers.set(event.pointerId, at(event));
      start = at(event);
      apart = 0;
      dragged = fingers.size > 1;
      if (event.pointerType === "touch" && !dragged) this.magnify(...start);
    });
    this.canvas.addEventListener("pointermove", (event) => {
      const [x, y] = at(event),
        before = fingers.get(event.pointerId);
      if (!before) {
        this.magnify(x, y);
        return;
      }
      fingers.set(event.pointerId, [x, y]);
      if (fingers.size === 2) {
        const [a, b] = [...fingers.values()],
          now = Math.hypot(a[0] - b[0], a[1] - b[1]);
        if (apart) this.enlarge(now / apart, (a[0] + b[0]) / 2, (a[1] + b[1]) / 2);
        apart = now;
      } else if (dragged || Math.hypot(x - start[0], y - start[1]) > MOVED) {
        dragged = true;
        this.left += x - before[0];
        this.top += y - before[1];
        this.glass.hidden = true;
        this.draw();
      }
    });
    this.canvas.addEventListener("pointerup", (event) => {
      fingers.delete(event.pointerId);
      if (event.pointerType === "touch") this.glass.hidden = true;
      if (!dragged && this.image) this.onclick(...this.place(...at(event)));
      if (!fingers.size) dragged = false;
    });
    this.canvas.addEventListener("pointercancel", (event) => fingers.delete(event.pointerId));
    this.canvas.addEventListener("pointerleave", () => {
      this.glass.hidden = true;
    });
    this.canvas.addEventListener(
      "wheel",
      (event) => {
        event.preventDefault();
        this.enlarge(Math.exp(-event.deltaY * 0.0015), ...at(event));
      },
      {passive: false},
    );
    this.canvas.addEventListener("keydown", (event) => this.keyed(event));
  }

  keyed(event) {
    if (!this.image) return;
    const middle = [this.element.clientWidth / 2, this.element.clientHeight / 2];
    const way = {ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1]}[event.key];
    if (way) {
      event.preventDefault();
      const far = (event.shiftKey ? 20 : 2) / this.zoom;
      this.cross = this.cross
        ? [this.cross[0] + way[0] * far, this.cross[1] + way[1] * far]
        : this.place(...middle);
      this.draw();
      this.magnify(...this.spot(this.cross));
    }
    if (event.key === "Enter" && this.cross) this.onclick(...this.cross);
    if (event.key === "+") this.enlarge(1.25, ...(this.cross ? this.spot(this.cross) : middle));
    if (event.key === "-") this.enlarge(0.8, ...(this.cross ? this.spot(this.cross) : middle));
    if (event.key === "Escape") {
      this.cross = null;
      this.glass.hidden = true;
      this.draw();
    }
  }
}
