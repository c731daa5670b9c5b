// An outline's points moved by hand, over its picture or on a plot. What comes of it is a drawing of the project's own.
import {button, h, reasons, s, short} from "./dom.js";
import {placeIn} from "./dragging.js";
import {typedTable} from "./field_parts.js";
import {row, small} from "./layout.js";
import {OutlinePoints} from "./outline_points.js";
import {PointHandles} from "./point_handles.js";
import {boundsOf, plot} from "./section_plot.js";

const MOST = 80,
  STEP_MM = 0.1,
  SOURCES = ["picture", "measured", "outline", "layer", "unit"];
const HELP =
  "Drag a point, or press the line to add one. With the keyboard: Tab goes from point to point, the arrow keys" +
  " move it (with Shift ten times as far), Insert adds one and Delete takes it away.";

// The editor as {element, leave}. "ends" are those of one half. "place" is where the points are shown: {handles(model, changed), told(points),
// millimetres(points)}; "done" is called when it is saved or given up.
export function adjust({desk}, {prefix, name, ring, ends, place, done}) {
  const model = new OutlinePoints(ring, MOST, ends),
    told = h("p", {class: "small", role: "status"}),
    error = h("p", {class: "error", role: "alert"}),
    handles = place.handles(model, follow);

  function follow(event) {
    handles.show(event);
    told.textContent = `Point ${model.chosen + 1} of ${model.points.length}. ${place.told(model.points)}`;
    const {done: before, undone} = model;
    desk.takeHand({
      undo: before.length ? `points of ${name}` : null,
      redo: undone.length ? `points of ${name}` : null,
      back: () => follow(model.back()),
      again: () => follow(model.again()),
    });
  }

  function add() {
    model.add();
    follow();
  }

  function remove() {
    error.textContent = model.remove();
    follow();
  }

  async function save() {
    const {ring: mm, problems} = await place.millimetres(model.points);
    if (!mm) return tell(problems);
    const lines = mm.map(([x, y]) => `${x.toFixed(3)},${y.toFixed(3)}\n`).join(""),
      kept = await desk.upload(new File([lines], `${name} by hand.csv`));
    if (!kept.path) return tell(kept.problems);
    const values = {...typedTable(desk.value(prefix), SOURCES), outline: kept.path},
      answer = await desk.edit([{do: "put", key: prefix, values}], `points of ${name}`);
    if (answer.ok) done();
    else tell(answer.problems);
  }

  function tell(problems) {
    error.textContent = reasons(problems);
  }

  const element = h(
    "div",
    {class: "card"},
    h("h3", {}, `Points of ${name}`),
    small(HELP),
    told,
    row(button("Add a point behind this one", add), button("Take this point away", remove)),
    row(
      button("Save the outline", save, {class: "first"}),
      button("Leave it as it was", () => done(), {class: "plain"}),
    ),
    error,
  );
  follow();
  return {
    element,
    leave() {
      handles.leave();
      desk.takeHand(null);
    },
  };
}

function sizeWords(points) {
  const [x0, y0, x1, y1] = boundsOf([points]);
  return `The outline is ${short(x1 - x0)} × ${short(y1 - y0)} mm.`;
}

// On a plot of its own, in mm; dashed as it was.
export function onPlot(view, name, before) {
  return {
    handles(model, changed) {
      let figure = null,
        upright = null,
        group = null;
      const locate = (event) => placeIn(upright, event);
      const handles = new PointHandles(model, {locate, step: () => STEP_MM, downwards: false}, changed);
      figure = plot(boundsOf([before]), `points of ${name}`, (drawn) => {
        upright = drawn;
        group = s("g", {class: "points"});
        drawn.append(s("path", {class: "other", d: `M${before.map((p) => p.join(" ")).join("L")}Z`}), group);
      }, {role: "group"}); // prettier-ignore
      view.replaceChildren(h("figure", {}, figure, h("figcaption", {}, "Dashed: as it was.")));
      return {show: () => handles.draw(group, (points) => points), leave() {}};
    },
    told: sizeWords,
    millimetres: async (points) => ({ring: points, problems: []}),
  };
}

// Over its picture, in px; the server says where they lie in mm.
export function onPicture({desk}, view, picture) {
  return {
    handles(model, changed) {
      const locate = (event) => view.place(...view.at(event)),
        surface = {locate, step: () => 1 / view.zoom, downwards: true};
      view.handles = new PointHandles(model, surface, changed);
      const [x0, y0, x1, y1] = boundsOf([model.points]);
      view.fit([x0, y0, x1, y1], 0.8);
      view.fitted = false;
      return {
        show(event) {
          view.draw();
          if (event) view.glass.show(...view.at(event));
          else view.glass.hide();
        },
        leave() {
          view.handles = null;
          view.glass.hide();
          view.whole();
        },
      };
    },
    told: () => "",
    async millimetres(points) {
      const answer = await desk.post("/points", {path: picture.file, picture, points});
      return {ring: answer.body.ring, problems: answer.problems};
    },
  };
}
