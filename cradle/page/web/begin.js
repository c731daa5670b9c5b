// What is shown before there is anything to show: how a thing is measured, and what comes in which order.
import {h, s} from "./dom.js";
import {small} from "./layout.js";

const HOW = [
  [
    "Cut a card that closes around the thing at a height, level on stacks of known height.",
    "a thing on its plate, a card around it on two stacks, the height between card and plate",
    aside,
  ],
  ["Scan or photograph the card from above, a ruler beside it.", "a card with a hole and a ruler below it", scan],
  [
    "Read width and depth with calipers at the same height.",
    "the thing from above between the jaws of calipers, both ways",
    above,
  ],
];
const STEPS = [
  ["Outline", "put in a picture or drawing for at least two heights, or a plain shape"],
  ["Measure", "type each height and what the calipers read"],
  ["Stack", "see where the outlines lie upon each other, and how surely"],
  ["Holder", "block, openings, wall plate: thing and holder in 3-D"],
  ["Fit", "the gap and the chance that the thing goes in; files to print"],
];

export function howToBegin() {
  return h(
    "div",
    {class: "begin"},
    h("h2", {}, "How a thing is measured"),
    h("div", {class: "how"}, HOW.map(figure)),
    h("h2", {}, "What comes in which order"),
    h("ol", {}, STEPS.map(([title, words]) => h("li", {}, h("strong", {}, title), `: ${words}`))),
    small("Every change is saved at once and can be undone. Nothing leaves this machine."),
  );
}

function figure([words, label, draw]) {
  return h(
    "figure",
    {},
    s("svg", {class: "sketch", viewBox: "0 0 200 150", role: "img", "aria-label": label}, draw()),
    h("figcaption", {}, words),
  );
}

const box = (kind, x, y, width, height) => s("rect", {class: kind, x, y, width, height}),
  line = (d) => s("path", {class: "rule", d}),
  arrows = (x0, y0, x1, y1) => {
    const [dx, dy] = x0 === x1 ? [4, 6] : [6, 4],
      back = x0 === x1 ? `m-4 6l4 -6l4 6` : `m6 -4l-6 4l6 4`,
      fore = x0 === x1 ? `m-${dx} -${dy}l${dx} ${dy}l${dx} -${dy}` : `m-${dx} -${dy}l${dx} ${dy}l-${dx} ${dy}`;
    return line(`M${x0} ${y0}L${x1} ${y1}M${x0} ${y0}${back}M${x1} ${y1}${fore}`);
  };

function aside() {
  return [
    box("steel", 10, 130, 180, 8),
    box("stack", 34, 88, 22, 42),
    box("stack", 144, 88, 22, 42),
    box("card-board", 28, 82, 144, 6),
    s("ellipse", {class: "body", cx: 100, cy: 74, rx: 36, ry: 56}),
    s("path", {class: "cut", d: "M65 85H135"}),
    arrows(20, 88, 20, 130),
  ];
}

function scan() {
  const marks = Array.from({length: 21}, (_, n) => `M${24 + 7.6 * n} 112v${n % 5 ? 6 : 11}`);
  return [
    box("mat", 10, 10, 180, 130),
    box("card-board", 46, 20, 108, 78),
    s("ellipse", {class: "hole", cx: 100, cy: 59, rx: 37, ry: 28}),
    box("stack", 18, 112, 164, 20),
    line(marks.join("")),
  ];
}

function above() {
  return [
    s("ellipse", {class: "body", cx: 100, cy: 75, rx: 56, ry: 42}),
    box("steel", 36, 40, 8, 70),
    box("steel", 156, 40, 8, 70),
    box("steel", 65, 25, 70, 8),
    box("steel", 65, 117, 70, 8),
    arrows(44, 75, 156, 75),
    arrows(100, 33, 100, 117),
  ];
}
