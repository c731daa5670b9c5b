// What the 3-D view paints: thing and holder as skins, cut open along one plane, with the faces of the cut filled.
import {program} from "./solid_shaders.js";

const COLOURS = {
  holder: {ink: [0.87, 0.74, 0.55], line: [0.32, 0.24, 0.14], hatch: 1},
  thing: {ink: [0.36, 0.53, 0.68], line: [0.12, 0.25, 0.36], hatch: -1},
};
const GROUND = {light: [0.95, 0.94, 0.91], dark: [0.15, 0.14, 0.13]};
const LINES_AHEAD = 0.002; // of the size of all that is seen
const NOWHERE = [0, 0, 1, 1e9];

function unpacked(text) {
  const raw = atob(text),
    out = new Uint8Array(raw.length);
  for (let i = 0; i < raw.length; i++) out[i] = raw.charCodeAt(i);
  return new Uint16Array(out.buffer);
}

export class Painter {
  constructor(canvas) {
    const gl = canvas.getContext("webgl2", {antialias: true, alpha: false, stencil: true});
    this.canvas = canvas;
    this.gl = gl;
    this.given = {};
    if (gl) this.begin();
  }

  begin() {
    Object.assign(this, program(this.gl));
    this.quad = this.gl.createBuffer();
    this.parts = {};
  }

  // What was lost with the browser's drawing is made once more.
  again() {
    this.begin();
    for (const [name, data] of Object.entries(this.given)) this.give(name, data);
  }

  // Give the browser's drawing back: it has few of them.
  release() {
    const ending = this.gl.getExtension("WEBGL_lose_context");
    if (ending) ending.loseContext();
  }

  // A part's mesh on its way to the screen; null takes the part away.
  give(name, data) {
    const {gl} = this,
      old = this.parts[name];
    this.given[name] = data;
    if (old) for (const buffer of Object.values(old.buffers)) gl.deleteBuffer(buffer);
    this.parts[name] = data ? this.taken(data) : null;
  }

  taken(data) {
    const {gl} = this,
      faces = unpacked(data.faces),
      edges = unpacked(data.edges),
      points = unpacked(data.points),
      gaps = new Float32Array(points.length / 3).fill(255),
      steps = [0, 0, 0];
    if (data.gaps) gaps.set(data.gaps.slice(0, gaps.length));
    for (let i = 0; i < points.length; i++) steps[i % 3] = Math.max(steps[i % 3], points[i]);
    const kept = (target, values) => {
      const buffer = gl.createBuffer();
      gl.bindBuffer(target, buffer);
      gl.bufferData(target, values, gl.STATIC_DRAW);
      return buffer;
    };
    return {
      low: data.low,
      high: steps.map((v, k) => data.low[k] + v * data.step),
      step: data.step,
      faces: faces.length,
      lines: edges.length,
      most: data.gap_most || 0,
      asked: data.gap_asked || [],
      buffers: {
        points: kept(gl.ARRAY_BUFFER, points),
        gaps: kept(gl.ARRAY_BUFFER, gaps),
        faces: kept(gl.ELEMENT_ARRAY_BUFFER, faces),
        edges: kept(gl.ELEMENT_ARRAY_BUFFER, edges),
      },
    };
  }

  // The box of all parts as [low, high]; null where there are none.
  box() {
    const there = Object.values(this.parts).filter(Boolean);
    if (!there.length) return null;
    return ["low", "high"].map((end) =>
      [0, 1, 2].map((k) => Math[end === "low" ? "min" : "max"](...there.map((part) => part[end][k]))),
    );
  }

  // Paint what is chosen. A plane is {axis, at, keep}: what lies beyond it, seen from where it is kept, is cut away.
  paint(camera, {shown, plane, whole, coloured, dark}) {
    const {gl, at, canvas} = this,
      ratio = window.devicePixelRatio || 1;
    gl.viewport(0, 0, canvas.width, canvas.height);
    gl.clearColor(...(dark ? GROUND.dark : GROUND.light), 1);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT | gl.STENCIL_BUFFER_BIT);
    gl.enable(gl.DEPTH_TEST);
    gl.useProgram(this.made);
    gl.uniformMatrix3fv(at.r, false, camera.turn);
    gl.uniformMatrix4fv(at.m, false, camera.project);
    gl.uniform3fv(at.mid, camera.middle);
    gl.uniform1f(at.px, ratio);
    for (const name of shown) {
      const part = this.parts[name];
      if (!part) continue;
      const cut = whole.includes(name) ? null : plane;
      gl.uniform4fv(at.cut, cut ? equation(cut) : NOWHERE);
      // of a whole skin no inside is seen: thin faces that rounding turned over would be dark specks
      (cut ? gl.disable : gl.enable).call(gl, gl.CULL_FACE);
      this.skin(part, COLOURS[name], {coloured: coloured && name === "thing", dark, size: camera.size});
      if (cut) this.face(part, COLOURS[name], cut, camera.size);
    }
  }

  use(part) {
    const {gl, at} = this;
    gl.bindBuffer(gl.ARRAY_BUFFER, part.buffers.points);
    gl.enableVertexAttribArray(0);
    gl.vertexAttribPointer(0, 3, gl.UNSIGNED_SHORT, false, 0, 0);
    gl.bindBuffer(gl.ARRAY_BUFFER, part.buffers.gaps);
    gl.enableVertexAttribArray(1);
    gl.vertexAttribPointer(1, 1, gl.FLOAT, false, 0, 0);
    gl.uniform3fv(at.low, part.low);
    gl.uniform1f(at.size, part.step);
  }

  triangles(part) {
    const {gl} = this;
    gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, part.buffers.faces);
    gl.drawElements(gl.TRIANGLES, part.faces, gl.UNSIGNED_SHORT, 0);
  }

  skin(part, colours, {coloured, dark, size}) {
    const {gl, at} = this;
    this.use(part);
    gl.uniform1f(at.hatch, 0);
    gl.uniform1f(at.most, coloured ? part.most : 0);
    gl.uniform3fv(at.ink, colours.ink);
    gl.uniform1f(at.lit, 1);
    this.triangles(part);
    gl.uniform1f(at.most, 0);
    gl.uniform3fv(at.ink, dark ? colours.ink : colours.line);
    gl.uniform1f(at.lit, 0);
    gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, part.buffers.edges);
    gl.uniform1f(at.ahead, LINES_AHEAD * size);
    gl.drawElements(gl.LINES, part.lines, gl.UNSIGNED_SHORT, 0);
    gl.uniform1f(at.ahead, 0);
  }

  // The face of a cut lies where a line of sight leaves the kept part more often than it enters it.
  face(part, colours, plane, size) {
    const {gl, at} = this;
    gl.clear(gl.STENCIL_BUFFER_BIT);
    gl.enable(gl.STENCIL_TEST);
    gl.disable(gl.DEPTH_TEST);
    gl.colorMask(false, false, false, false);
    gl.stencilFunc(gl.ALWAYS, 0, 255);
    gl.stencilOpSeparate(gl.BACK, gl.KEEP, gl.KEEP, gl.INCR_WRAP);
    gl.stencilOpSeparate(gl.FRONT, gl.KEEP, gl.KEEP, gl.DECR_WRAP);
    this.triangles(part);
    gl.colorMask(true, true, true, true);
    gl.enable(gl.DEPTH_TEST);
    gl.stencilFunc(gl.NOTEQUAL, 0, 255);
    gl.stencilOp(gl.KEEP, gl.KEEP, gl.KEEP);
    gl.bindBuffer(gl.ARRAY_BUFFER, this.quad);
    gl.bufferData(gl.ARRAY_BUFFER, new Float32Array(square(plane, part, size)), gl.STREAM_DRAW);
    gl.vertexAttribPointer(0, 3, gl.FLOAT, false, 0, 0);
    gl.disableVertexAttribArray(1);
    gl.vertexAttrib1f(1, 255);
    gl.uniform3fv(at.low, [0, 0, 0]);
    gl.uniform1f(at.size, 1);
    gl.uniform4fv(at.cut, NOWHERE);
    gl.uniform3fv(at.ink, colours.ink);
    gl.uniform1f(at.hatch, colours.hatch);
    gl.drawArrays(gl.TRIANGLE_STRIP, 0, 4);
    gl.disable(gl.STENCIL_TEST);
  }
}

function equation({axis, at, keep}) {
  const out = [0, 0, 0, keep === "below" ? at : -at];
  out[axis] = keep === "below" ? 1 : -1;
  return out;
}

// Four corners of a square in the plane that covers a part.
function square({axis, at}, part, size) {
  const [u, v] = [0, 1, 2].filter((k) => k !== axis);
  return [0, 1, 2, 3].flatMap((corner) => {
    const point = [0, 0, 0];
    point[axis] = at;
    point[u] = corner & 1 ? part.high[u] + size : part.low[u] - size;
    point[v] = corner & 2 ? part.high[v] + size : part.low[v] - size;
    return point;
  });
}
