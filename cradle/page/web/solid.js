// The 3-D view: holder and thing, cut open at a height or from a side, the thing coloured by its gap. WebGL 2, nothing to load.
import {button, h, short} from "./dom.js";

const VERTEX = `#version 300 es
precision highp float;
in vec3 p; in float g; uniform mat4 m; uniform mat3 r; uniform vec3 low; uniform float step; uniform vec3 mid;
out vec3 q; out vec3 at; out float gap;
void main() { at = low + p * step; q = r * (at - mid); gap = g; gl_Position = m * vec4(q, 1.0); }`;
const FRAGMENT = `#version 300 es
precision highp float;
in vec3 q; in vec3 at; in float gap; uniform vec4 ink; uniform float lit; uniform vec4 cut; uniform float coloured; uniform float asked; out vec4 o;
vec3 shade(float t) {
  if (t < 0.0) return vec3(0.72, 0.12, 0.10);
  vec3 a = vec3(0.99, 0.91, 0.60), b = vec3(0.36, 0.67, 0.62), c = vec3(0.13, 0.22, 0.45);
  return t < 0.5 ? mix(a, b, t * 2.0) : mix(b, c, t * 2.0 - 1.0);
}
void main() {
  if (dot(cut.xyz, at) > cut.w) discard;
  vec3 n = normalize(cross(dFdx(q), dFdy(q)));
  vec3 colour = ink.rgb;
  if (coloured > 0.5 && gap < 252.0) colour = shade(gap * coloured / 250.0 < asked * 0.985 ? -1.0 : clamp((gap * coloured / 250.0 - asked) / (2.0 * asked), 0.0, 1.0));
  float d = 0.45 + 0.55 * max(dot(n, normalize(vec3(-0.35, 0.5, 0.79))), 0.0);
  if (!gl_FrontFacing && lit > 0.5) { o = vec4(colour * 0.62, 1.0); return; }
  o = vec4(colour * mix(1.0, d, lit), ink.a);
}`;
const HOLDER = {ink: [0.87, 0.74, 0.55, 1], line: [0.32, 0.24, 0.14, 1]};
const THING = {ink: [0.36, 0.53, 0.68, 1], line: [0.12, 0.25, 0.36, 1]};

function numbers(text) {
  const raw = atob(text),
    out = new Uint8Array(raw.length);
  for (let i = 0; i < raw.length; i++) out[i] = raw.charCodeAt(i);
  return new Uint16Array(out.buffer);
}

// The view as {element, show({holder, thing}), mark(place)}.
export function solidView() {
  const canvas = h("canvas", {
    class: "canvas",
    tabindex: "0",
    role: "img",
    "aria-label": "3-D view of thing and holder. Arrow keys turn it, plus and minus change its size.",
  });
  const gl = canvas.getContext("webgl2", {antialias: true, alpha: false});
  if (!gl)
    return {
      element: h(
        "p",
        {class: "small"},
        "This browser shows no 3-D view. The plots and figures below say the same.",
      ),
      show() {},
      mark() {},
    };
  const program = linked(gl);
  const at = Object.fromEntries(
    ["m", "r", "low", "step", "mid", "ink", "lit", "cut", "coloured", "asked"].map((n) => [
      n,
      gl.getUniformLocation(program, n),
    ]),
  );
  const slot = gl.getAttribLocation(program, "p"),
    gapSlot = gl.getAttribLocation(program, "g");
  const look = {turn: 28, rise: 24, zoom: 1, holder: true, thing: true, coloured: true, cut: 1, side: 1};
  let parts = {},
    box = [
      [0, 0, 0],
      [1, 1, 1],
    ],
    asked = 0.35,
    waiting = false,
    marked = null;

  function upload(data) {
    const buffer = (target, values) => {
      const b = gl.createBuffer();
      gl.bindBuffer(target, b);
      gl.bufferData(target, values, gl.STATIC_DRAW);
      return b;
    };
    const faces = numbers(data.faces),
      edges = numbers(data.edges),
      points = numbers(data.points);
    const gaps = new Float32Array(points.length / 3).fill(255);
    if (data.gaps) gaps.set(data.gaps.slice(0, gaps.length));
    let high = [0, 0, 0];
    for (let i = 0; i < points.length; i += 3)
      for (let k = 0; k < 3; k++) high[k] = Math.max(high[k], points[i + k]);
    return {
      low: data.low,
      step: data.step,
      high: high.map((v, k) => data.low[k] + v * data.step),
      count: faces.length,
      lines: edges.length,
      most: data.gap_most || 0,
      points: buffer(gl.ARRAY_BUFFER, points),
      gaps: buffer(gl.ARRAY_BUFFER, gaps),
      faces: buffer(gl.ELEMENT_ARRAY_BUFFER, faces),
      edges: buffer(gl.ELEMENT_ARRAY_BUFFER, edges),
    };
  }

  function freed(part) {
    if (part) for (const name of ["points", "gaps", "faces", "edges"]) gl.deleteBuffer(part[name]);
  }

  function draw() {
    waiting = false;
    const ratio = window.devicePixelRatio || 1,
      w = Math.round(canvas.clientWidth * ratio),
      height = Math.round(canvas.clientHeight * ratio);
    if (!w || !height) return;
    if (canvas.width !== w || canvas.height !== height) {
      canvas.width = w;
      canvas.height = height;
    }
    const dark = matchMedia("(prefers-color-scheme: dark)").matches,
      ground = dark ? [0.15, 0.14, 0.13] : [0.95, 0.94, 0.91];
    gl.viewport(0, 0, w, height);
    gl.clearColor(...ground, 1);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    gl.enable(gl.DEPTH_TEST);
    gl.enable(gl.POLYGON_OFFSET_FILL);
    gl.polygonOffset(1, 1);
    const size = Math.max(...box[1].map((v, k) => v - box[0][k])),
      t = (look.turn * Math.PI) / 180,
      e = (look.rise * Math.PI) / 180;
    const ct = Math.cos(t),
      st = Math.sin(t),
      ce = Math.cos(e),
      se = Math.sin(e);
    gl.useProgram(program);
    gl.uniformMatrix3fv(at.r, false, [ct, se * st, -st * ce, -st, se * ct, -ct * ce, 0, ce, se]);
    const f = 3.1 * look.zoom * Math.min(1, w / height),
      d = size * 2.6,
      n = size * 0.2,
      far = size * 6;
    gl.uniformMatrix4fv(at.m, false, [
      (f * height) / w,
      0,
      0,
      0,
      0,
      f,
      0,
      0,
      0,
      0,
      -(far + n) / (far - n),
      -1,
      0,
      0,
      (d * (far + n)) / (far - n) - (2 * far * n) / (far - n),
      d,
    ]);
    gl.uniform3fv(
      at.mid,
      box[0].map((v, k) => (v + box[1][k]) / 2),
    );
    const along = (k, share) => box[0][k] + (box[1][k] - box[0][k]) * share + 1e-3 * size;
    for (const name of ["thing", "holder"]) {
      const part = parts[name],
        style = name === "thing" ? THING : HOLDER;
      if (!part || !look[name]) continue;
      const wholeThing = name === "thing" && look.side < 1;
      const cut =
        look.cut < 1
          ? [0, 0, 1, along(2, look.cut)]
          : look.side < 1 && !wholeThing
            ? [0, -1, 0, -along(1, 1 - look.side) + 2e-3 * size]
            : [0, 0, 1, 1e9];
      gl.uniform4fv(at.cut, cut);
      gl.bindBuffer(gl.ARRAY_BUFFER, part.points);
      gl.enableVertexAttribArray(slot);
      gl.vertexAttribPointer(slot, 3, gl.UNSIGNED_SHORT, false, 0, 0);
      gl.bindBuffer(gl.ARRAY_BUFFER, part.gaps);
      gl.enableVertexAttribArray(gapSlot);
      gl.vertexAttribPointer(gapSlot, 1, gl.FLOAT, false, 0, 0);
      gl.uniform3fv(at.low, part.low);
      gl.uniform1f(at.step, part.step);
      gl.uniform1f(at.asked, Math.max(asked, 0.02));
      gl.uniform1f(at.coloured, name === "thing" && look.coloured && part.most ? part.most : 0);
      gl.uniform4fv(at.ink, style.ink);
      gl.uniform1f(at.lit, 1);
      gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, part.faces);
      gl.drawElements(gl.TRIANGLES, part.count, gl.UNSIGNED_SHORT, 0);
      gl.uniform1f(at.coloured, 0);
      gl.uniform4fv(at.ink, dark ? style.ink : style.line);
      gl.uniform1f(at.lit, 0);
      gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, part.edges);
      gl.drawElements(gl.LINES, part.lines, gl.UNSIGNED_SHORT, 0);
    }
    place();
  }

  // Where a finding is, as a ring over the picture.
  const spot = h("span", {
    hidden: true,
    style:
      "position:absolute;width:26px;height:26px;margin:-13px 0 0 -13px;border:4px solid var(--stop);border-radius:50%;background:transparent;pointer-events:none",
  });
  function place() {
    spot.hidden = !marked;
    if (!marked) return;
    const mid = box[0].map((v, k) => (v + box[1][k]) / 2),
      size = Math.max(...box[1].map((v, k) => v - box[0][k]));
    const t = (look.turn * Math.PI) / 180,
      e = (look.rise * Math.PI) / 180,
      [x, y, z] = marked.map((v, k) => v - mid[k]);
    const qx = Math.cos(t) * x - Math.sin(t) * y,
      back = Math.sin(t) * x + Math.cos(t) * y;
    const qy = Math.sin(e) * back + Math.cos(e) * z,
      qz = -Math.cos(e) * back + Math.sin(e) * z;
    const w = canvas.clientWidth,
      height = canvas.clientHeight,
      f = 3.1 * look.zoom * Math.min(1, w / height),
      depth = size * 2.6 - qz;
    spot.style.left = `${w / 2 + (((((f * height) / w) * qx) / depth) * w) / 2}px`;
    spot.style.top = `${height / 2 - (((f * qy) / depth) * height) / 2}px`;
  }

  function soon() {
    if (!waiting) {
      waiting = true;
      requestAnimationFrame(draw);
    }
  }
  const turned = (dx, dy) => {
    look.turn = (look.turn + dx) % 360;
    look.rise = Math.max(-89, Math.min(89, look.rise + dy));
    soon();
  };
  const zoomed = (by) => {
    look.zoom = Math.max(0.4, Math.min(8, look.zoom * by));
    soon();
  };
  pointers(canvas, turned, zoomed);
  canvas.addEventListener("keydown", (event) => {
    const way = {ArrowLeft: [-10, 0], ArrowRight: [10, 0], ArrowUp: [0, -10], ArrowDown: [0, 10]}[event.key];
    if (way) {
      event.preventDefault();
      turned(...way);
    }
    if (event.key === "+") zoomed(1.2);
    if (event.key === "-") zoomed(1 / 1.2);
  });
  new ResizeObserver(soon).observe(canvas);

  const toggle = (name, words) => {
    const b = button(
      words,
      () => {
        look[name] = !look[name];
        b.setAttribute("aria-pressed", String(look[name]));
        soon();
      },
      {"aria-pressed": String(look[name])},
    );
    return b;
  };
  const from = (words, turn, rise) =>
    button(words, () => {
      look.turn = turn;
      look.rise = rise;
      look.zoom = 1;
      soon();
    });
  const told = h("output", {class: "small"});
  const slider = (name, words) =>
    h(
      "div",
      {class: "field"},
      h(
        "label",
        {},
        words,
        h("input", {
          type: "range",
          min: 0,
          max: 100,
          value: 100,
          oninput: (event) => {
            look[name] = event.target.value / 100;
            told.textContent =
              look.cut < 1
                ? `cut open ${short(box[0][2] + (box[1][2] - box[0][2]) * look.cut, 1)} mm above the bed`
                : "";
            soon();
          },
        }),
      ),
    );
  const key = h("p", {class: "key", hidden: true});
  const element = h(
    "div",
    {},
    h("div", {style: "position:relative"}, canvas, spot),
    h(
      "div",
      {class: "row"},
      toggle("thing", "Thing"),
      toggle("holder", "Holder"),
      toggle("coloured", "Colour by gap"),
      from("Front", 0, 0),
      from("Right", -90, 0),
      from("Above", 0, 89),
      from("Back to the start", 28, 24),
    ),
    h(
      "div",
      {class: "fields"},
      slider("cut", "Cut open at a height"),
      slider("side", "Cut the holder open from the front"),
    ),
    told,
    key,
  );
  soon();
  return {
    element,
    show(data) {
      for (const name of ["holder", "thing"]) {
        if (data[name] === undefined) continue;
        freed(parts[name]);
        parts[name] = data[name] ? upload(data[name]) : null;
      }
      const there = Object.values(parts).filter(Boolean);
      if (there.length)
        box = [0, 1].map((end) =>
          [0, 1, 2].map((k) => Math[end ? "max" : "min"](...there.map((p) => (end ? p.high : p.low)[k]))),
        );
      if (data.asked !== undefined) asked = data.asked;
      key.hidden = !(parts.thing && parts.thing.most);
      const swatch = (colour, words) => h("span", {}, h("i", {style: `background:${colour}`}), words);
      key.replaceChildren(
        "Gap on each side: ",
        swatch("#b81f1a", `less than ${short(asked)} mm`),
        swatch("#fce899", `${short(asked)}`),
        swatch("#5cab9e", `${short(2 * asked)}`),
        swatch("#213873", `${short(3 * asked)} mm or more`),
        swatch("#5c87ad", "above the holder"),
      );
      soon();
    },
    mark(point) {
      marked = point;
      soon();
    },
  };
}

function linked(gl) {
  const program = gl.createProgram();
  for (const [kind, text] of [
    [gl.VERTEX_SHADER, VERTEX],
    [gl.FRAGMENT_SHADER, FRAGMENT],
  ]) {
    const shader = gl.createShader(kind);
    gl.shaderSource(shader, text);
    gl.compileShader(shader);
    gl.attachShader(program, shader);
  }
  gl.linkProgram(program);
  return program;
}

// One finger or the mouse turns, two fingers or the wheel change the size.
function pointers(canvas, turned, zoomed) {
  const fingers = new Map();
  let apart = 0;
  canvas.addEventListener("pointerdown", (event) => {
    fingers.set(event.pointerId, event);
    canvas.setPointerCapture(event.pointerId);
    apart = 0;
  });
  canvas.addEventListener("pointermove", (event) => {
    const before = fingers.get(event.pointerId);
    if (!before) return;
    if (fingers.size === 1)
      turned((event.clientX - before.clientX) * 0.5, (event.clientY - before.clientY) * 0.5);
    fingers.set(event.pointerId, event);
    if (fingers.size === 2) {
      const [a, b] = [...fingers.values()],
        now = Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY);
      if (apart) zoomed(now / apart);
      apart = now;
    }
  });
  for (const name of ["pointerup", "pointercancel"])
    canvas.addEventListener(name, (event) => {
      fingers.delete(event.pointerId);
      apart = 0;
    });
  canvas.addEventListener(
    "wheel",
    (event) => {
      event.preventDefault();
      zoomed(Math.exp(-event.deltaY * 0.001));
    },
    {passive: false},
  );
}
