(function () {
  "use strict";
  var box = document.getElementById("solid"), data = JSON.parse(document.getElementById("solid-data").textContent);
  var canvas = document.createElement("canvas"), gl = canvas.getContext("webgl2", {antialias: true, alpha: false});
  if (!gl) { return; }
  function words(text) {
    var raw = atob(text), out = new Uint8Array(raw.length);
    for (var i = 0; i < raw.length; i++) { out[i] = raw.charCodeAt(i); }
    return new Uint16Array(out.buffer);
  }
  function shader(kind, text) {
    var s = gl.createShader(kind);
    gl.shaderSource(s, "#version 300 es\nprecision highp float;\n" + text);
    gl.compileShader(s);
    return s;
  }
  var program = gl.createProgram();
  gl.attachShader(program, shader(gl.VERTEX_SHADER,
    "in vec3 p; uniform mat4 m; uniform mat3 r; uniform vec3 low; uniform float step; uniform vec3 mid; uniform float ahead; out vec3 q;" +
    "void main() { vec3 at = low + p * step - mid; q = r * at; gl_Position = m * vec4(q, 1.0);" +
    "vec4 nearer = m * vec4(q.xy, q.z + ahead, 1.0); gl_Position.z = nearer.z / nearer.w * gl_Position.w; }"));
  gl.attachShader(program, shader(gl.FRAGMENT_SHADER,
    "in vec3 q; uniform vec4 ink; uniform float lit; out vec4 o;" +
    "void main() { vec3 n = normalize(cross(dFdx(q), dFdy(q)));" +
    "float d = 0.42 + 0.58 * max(dot(n, normalize(vec3(-0.35, 0.5, 0.79))), 0.0);" +
    "o = vec4(ink.rgb * mix(1.0, d, lit), ink.a); }"));
  gl.linkProgram(program);
  if (!gl.getProgramParameter(program, gl.LINK_STATUS)) { return; }
  gl.useProgram(program);
  var at = {};
  ["m", "r", "low", "step", "mid", "ink", "lit", "ahead"].forEach(function (n) { at[n] = gl.getUniformLocation(program, n); });
  var slot = gl.getAttribLocation(program, "p");
  function buffer(target, values) {
    var b = gl.createBuffer(); gl.bindBuffer(target, b); gl.bufferData(target, values, gl.STATIC_DRAW); return b;
  }
  var parts = data.parts.map(function (part) {
    var faces = words(part.faces), edges = words(part.edges);
    return {low: part.low, step: part.step, ink: part.ink, line: part.line, shown: part.shown,
      points: buffer(gl.ARRAY_BUFFER, words(part.points)), faces: buffer(gl.ELEMENT_ARRAY_BUFFER, faces),
      edges: buffer(gl.ELEMENT_ARRAY_BUFFER, edges), count: faces.length, lines: edges.length};
  });
  var turn = data.turn, rise = data.rise, zoom = 1, waiting = false;
  function draw() {
    waiting = false;
    var ratio = window.devicePixelRatio || 1, w = Math.round(canvas.clientWidth * ratio), h = Math.round(canvas.clientHeight * ratio);
    if (canvas.width !== w || canvas.height !== h) { canvas.width = w; canvas.height = h; }
    gl.viewport(0, 0, w, h);
    gl.clearColor(0.957, 0.949, 0.929, 1); gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    gl.enable(gl.DEPTH_TEST);
    gl.enable(gl.BLEND); gl.blendFunc(gl.SRC_ALPHA, gl.ONE_MINUS_SRC_ALPHA);
    var t = turn * Math.PI / 180, e = rise * Math.PI / 180, ct = Math.cos(t), st = Math.sin(t), ce = Math.cos(e), se = Math.sin(e);
    gl.uniformMatrix3fv(at.r, false, [ct, se * st, -st * ce, -st, se * ct, -ct * ce, 0, ce, se]);
    var f = 3.1 * zoom * Math.min(1, w / h), d = data.size * 2.6, n = data.size * 0.2, far = data.size * 6;
    gl.uniformMatrix4fv(at.m, false, [f * h / w, 0, 0, 0, 0, f, 0, 0, 0, 0, -(far + n) / (far - n), -1,
      0, 0, d * (far + n) / (far - n) - 2 * far * n / (far - n), d]);
    gl.uniform3fv(at.mid, data.middle);
    parts.forEach(function (part) {
      if (!part.shown) { return; }
      gl.bindBuffer(gl.ARRAY_BUFFER, part.points);
      gl.enableVertexAttribArray(slot); gl.vertexAttribPointer(slot, 3, gl.UNSIGNED_SHORT, false, 0, 0);
      gl.uniform3fv(at.low, part.low); gl.uniform1f(at.step, part.step);
      gl.uniform4fv(at.ink, part.ink); gl.uniform1f(at.lit, 1); gl.uniform1f(at.ahead, 0);
      gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, part.faces); gl.drawElements(gl.TRIANGLES, part.count, gl.UNSIGNED_SHORT, 0);
      gl.uniform4fv(at.ink, part.line); gl.uniform1f(at.lit, 0); gl.uniform1f(at.ahead, 0.002 * data.size);
      gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, part.edges); gl.drawElements(gl.LINES, part.lines, gl.UNSIGNED_SHORT, 0);
    });
  }
  function soon() { if (!waiting) { waiting = true; requestAnimationFrame(draw); } }
  function turned(dx, dy) { turn = (turn + dx) % 360; rise = Math.max(-89, Math.min(89, rise + dy)); soon(); }
  function zoomed(by) { zoom = Math.max(0.4, Math.min(8, zoom * by)); soon(); }
  var fingers = {}, apart = 0;
  canvas.addEventListener("pointerdown", function (ev) { fingers[ev.pointerId] = ev; canvas.setPointerCapture(ev.pointerId); apart = 0; });
  canvas.addEventListener("pointermove", function (ev) {
    var before = fingers[ev.pointerId], ids;
    if (!before) { return; }
    ids = Object.keys(fingers);
    if (ids.length === 1) { turned((ev.clientX - before.clientX) * 0.5, (ev.clientY - before.clientY) * 0.5); }
    fingers[ev.pointerId] = ev;
    if (ids.length === 2) {
      var a = fingers[ids[0]], b = fingers[ids[1]], now = Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY);
      if (apart) { zoomed(now / apart); }
      apart = now;
    }
  });
  ["pointerup", "pointercancel"].forEach(function (name) {
    canvas.addEventListener(name, function (ev) { delete fingers[ev.pointerId]; apart = 0; });
  });
  canvas.addEventListener("wheel", function (ev) { ev.preventDefault(); zoomed(Math.exp(-ev.deltaY * 0.001)); }, {passive: false});
  canvas.addEventListener("keydown", function (ev) {
    var way = {ArrowLeft: [-10, 0], ArrowRight: [10, 0], ArrowUp: [0, -10], ArrowDown: [0, 10]}[ev.key];
    if (way) { ev.preventDefault(); turned(way[0], way[1]); }
    if (ev.key === "+") { zoomed(1.2); }
    if (ev.key === "-") { zoomed(1 / 1.2); }
  });
  document.getElementById("solid-buttons").addEventListener("click", function (ev) {
    var button = ev.target.closest("button");
    if (!button) { return; }
    if (button.dataset.part) {
      var part = parts[+button.dataset.part]; part.shown = !part.shown;
      button.setAttribute("aria-pressed", String(part.shown));
    } else { turn = +button.dataset.turn; rise = +button.dataset.rise; zoom = 1; }
    soon();
  });
  canvas.tabIndex = 0; canvas.setAttribute("role", "img");
  canvas.setAttribute("aria-label", "3-D view of the holder; arrow keys turn it, plus and minus change its size");
  box.className = "live"; box.appendChild(canvas); document.getElementById("solid-tools").hidden = false;
  window.addEventListener("resize", soon); soon();
}());
