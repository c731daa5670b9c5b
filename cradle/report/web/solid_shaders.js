// The programs of the 3-D view: skins lit from one side, a cut's face hatched, the gap as colour and, where it is too
// small, as stripes too, so that nobody needs to tell colours apart. Lines are taken for a little nearer than the skins that they lie on.
const VERTEX = `#version 300 es
precision highp float;
in vec3 p;
in float g;
uniform mat4 m;
uniform mat3 r;
uniform vec3 low;
uniform float size;
uniform vec3 mid;
uniform float ahead;
out vec3 q;
out vec3 at;
out float gap;
void main() {
  at = low + p * size;
  q = r * (at - mid);
  gap = g;
  gl_Position = m * vec4(q, 1.0);
  vec4 nearer = m * vec4(q.xy, q.z + ahead, 1.0);
  gl_Position.z = nearer.z / nearer.w * gl_Position.w;
}`;

const FRAGMENT = `#version 300 es
precision highp float;
in vec3 q;
in vec3 at;
in float gap;
uniform vec3 ink;
uniform float lit;
uniform float hatch;
uniform float px;
uniform vec4 cut;
uniform float most;
out vec4 o;
float stripe(float every, float wide, float way) {
  return step(mod(gl_FragCoord.x + way * gl_FragCoord.y, every * px), wide * px);
}
vec3 shade(float wider) {
  vec3 a = vec3(0.99, 0.91, 0.60), b = vec3(0.36, 0.67, 0.62), c = vec3(0.13, 0.22, 0.45);
  return wider < 0.5 ? mix(a, b, wider * 2.0) : mix(b, c, wider * 2.0 - 1.0);
}
void main() {
  if (dot(cut.xyz, at) > cut.w) discard;
  vec3 colour = ink;
  float times = gap * most / 250.0;
  if (most > 0.0 && gap < 252.0) {
    colour = times < 0.985
      ? mix(vec3(0.72, 0.12, 0.10), vec3(1.0), 0.85 * stripe(10.0, 3.0, -1.0))
      : shade(clamp((times - 1.0) / 2.0, 0.0, 1.0));
  }
  if (hatch != 0.0) {
    o = vec4(mix(colour, colour * 0.6, stripe(11.0, 1.5, hatch)), 1.0);
    return;
  }
  vec3 n = normalize(cross(dFdx(q), dFdy(q)));
  float light = 0.45 + 0.55 * max(dot(n, normalize(vec3(-0.35, 0.5, 0.79))), 0.0);
  if (!gl_FrontFacing && lit > 0.5) light = 0.55;
  o = vec4(colour * mix(1.0, light, lit), 1.0);
}`;

const UNIFORMS = ["m", "r", "low", "size", "mid", "ink", "lit", "hatch", "px", "cut", "most", "ahead"];

// The linked program with the places of all that it is given.
export function program(gl) {
  const made = gl.createProgram();
  for (const [kind, text] of [
    [gl.VERTEX_SHADER, VERTEX],
    [gl.FRAGMENT_SHADER, FRAGMENT],
  ]) {
    const shader = gl.createShader(kind);
    gl.shaderSource(shader, text);
    gl.compileShader(shader);
    gl.attachShader(made, shader);
  }
  gl.bindAttribLocation(made, 0, "p");
  gl.bindAttribLocation(made, 1, "g");
  gl.linkProgram(made);
  const at = Object.fromEntries(UNIFORMS.map((name) => [name, gl.getUniformLocation(made, name)]));
  return {made, at};
}
