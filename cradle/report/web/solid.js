// The 3-D view: thing and holder, looked at from any side, cut open along a plane, the thing coloured by its gap.
import {button, h, short, toggle} from "./dom.js";
import {BY_KEY, fingers} from "./fingers.js";
import {START, camera} from "./solid_camera.js";
import {cutting} from "./solid_cut.js";
import {Painter} from "./solid_paint.js";

const VIEWS = [
  ["Front", 0, 0],
  ["Right", -90, 0],
  ["Above", 0, 89],
  ["Slanted", START.turn, START.rise],
];

// The view as {live, element, show({holder, thing}), mark(place), leave()}; with "plain" there is no holder to speak of. It is
// not live where the browser shows none, and dark where the whole page is.
export function solidView({plain = false, label = "3-D view of thing and holder"} = {}) {
  const canvas = h("canvas", {
    class: "canvas",
    tabindex: "0",
    role: "img",
    "aria-label": `${label}. Arrow keys turn it, plus and minus change its size.`,
  });
  const painter = new Painter(canvas);
  if (!painter.gl) return absent();
  const look = {...START, zoom: 1},
    shown = {holder: true, thing: true},
    dark = matchMedia("(prefers-color-scheme: dark)");
  const isDark = () => dark.matches && getComputedStyle(document.documentElement).colorScheme.includes("dark");
  let coloured = true,
    waiting = false,
    gone = false,
    marked = null;
  const box = () => painter.box() || [[0, 0, 0], [1, 1, 1]]; // prettier-ignore

  function draw() {
    waiting = false;
    if (gone || painter.gl.isContextLost()) return;
    const ratio = window.devicePixelRatio || 1,
      {clientWidth: width, clientHeight: height} = canvas;
    if (!width || !height) return;
    const size = [Math.round(width * ratio), Math.round(height * ratio)];
    if (canvas.width !== size[0] || canvas.height !== size[1]) [canvas.width, canvas.height] = size;
    const now = camera(box(), look, width, height);
    painter.paint(now, {
      shown: ["holder", "thing"].filter((name) => shown[name]),
      plane: cut.plane(),
      whole: cut.whole(),
      coloured,
      dark: isDark(),
    });
    spot.hidden = !marked;
    if (marked) [spot.style.left, spot.style.top] = now.spot(marked).map((v) => `${v}px`);
  }

  function soon() {
    if (waiting) return;
    waiting = true;
    requestAnimationFrame(draw);
  }
  const turn = (dx, dy) => {
    look.turn = (look.turn + dx) % 360;
    look.rise = Math.max(-89, Math.min(89, look.rise + dy));
    soon();
  };
  const enlarge = (by) => {
    look.zoom = Math.max(0.4, Math.min(8, look.zoom * by));
    soon();
  };
  fingers(canvas, {moved: (dx, dy) => turn(dx * 0.5, dy * 0.5), enlarged: enlarge});
  canvas.addEventListener("keydown", (event) => {
    const way = {ArrowLeft: [-10, 0], ArrowRight: [10, 0], ArrowUp: [0, -10], ArrowDown: [0, 10]}[event.key];
    if (way) turn(...way);
    else if (event.key in BY_KEY) enlarge(BY_KEY[event.key]);
    else return;
    event.preventDefault();
  });
  canvas.addEventListener("webglcontextlost", (event) => event.preventDefault()); // else it is never given back
  canvas.addEventListener("webglcontextrestored", () => {
    painter.again();
    soon();
  });
  const watch = new ResizeObserver(soon);
  watch.observe(canvas);
  dark.addEventListener("change", soon);

  const spot = h("span", {class: "spot", hidden: true});
  const looked = (from) => {
      Object.assign(look, from);
      soon();
    },
    shows = (words, is, set) =>
      toggle(words, is, (on) => {
        set(on);
        soon();
      }),
    from = ([words, turn, rise]) => button(words, () => looked({turn, rise, zoom: 1})),
    cut = cutting({box, changed: looked});
  const key = h("p", {class: "key", hidden: true});
  const element = h(
    "div",
    {},
    h("div", {class: "with-spot"}, canvas, spot),
    h(
      "div",
      {class: "row"},
      plain
        ? []
        : [
            shows("Thing", () => shown.thing, (is) => (shown.thing = is)),
            shows("Holder", () => shown.holder, (is) => (shown.holder = is)),
            shows("Colour by gap", () => coloured, (is) => (coloured = is)),
          ], // prettier-ignore
      VIEWS.map(from),
    ),
    plain ? null : cut.element,
    key,
  );
  soon();
  return {
    live: true,
    element,
    show(data) {
      for (const name of ["holder", "thing"]) if (data[name] !== undefined) painter.give(name, data[name]);
      const {thing} = painter.parts;
      key.hidden = !(thing && thing.most);
      if (!key.hidden) key.replaceChildren("Gap on each side: ", ...swatches(thing.asked));
      cut.tell();
      soon();
    },
    mark(point) {
      marked = point;
      soon();
    },
    leave() {
      gone = true;
      watch.disconnect();
      dark.removeEventListener("change", soon);
      painter.release();
    },
  };
}

// In mm; where several things are asked for different gaps, in words.
function swatches([wanted, ...others]) {
  const asked = Number(short(wanted));
  const [least, twice, most] = others.length
    ? ["as asked for", "twice that", "three times or more"]
    : [`${short(asked)}`, `${short(2 * asked)}`, `${short(3 * asked)} mm or more`];
  const swatch = (colour, words, more = "") =>
    h("span", {}, h("i", {class: more, style: `background-color:${colour}`}), words);
  return [
    swatch("#b81f1a", others.length ? "less than asked for" : `less than ${short(asked)} mm`, "striped"),
    swatch("#fce899", least),
    swatch("#5cab9e", twice),
    swatch("#213873", most),
    swatch("#5c87ad", "above the holder"),
  ];
}

function absent() {
  const words = "This browser shows no 3-D view. The plots and figures say the same.";
  return {live: false, element: h("p", {class: "small"}, words), show() {}, mark() {}, leave() {}};
}
