// How the thing leans: profiles of its sides, and views from a side.
import {button, h, reasons} from "./dom.js";
import {removeButton, tableForm} from "./fields.js";
import {group, row, small} from "./layout.js";
import {sourceOf} from "./new_section.js";

const DRAWN = ["outline", "layer", "unit"];
const SIDES = ["front", "back", "left", "right"];

// The group of fields; each form made is given to "add", which returns its element.
export function leaningForm({desk, go}, add) {
  const {side} = desk.schema,
    views = desk.value("view") || [];
  const profiles = tableForm(desk, "side", side.fields, {open: SIDES, each: () => ({accept: ".csv,.svg,.dxf"})});
  return group(
    "How it leans: side profiles and views",
    views.length > 0 || desk.value("side") !== undefined,
    small(
      "Sections alone cannot tell how the thing leans. A profile is a list of heights and how far the side reaches",
      " there; both sides count from one zero line. A view is a closed outline seen from a side.",
    ),
    add(profiles),
    views.map((one, n) => card({desk, go}, one, n + 1, add)),
    viewAdder(desk, views),
  );
}

function card({desk, go}, one, number, add) {
  const prefix = `view[${number}]`,
    of = `view ${number}`,
    schema = desk.schema.view,
    own = schema.fields.filter((f) => !DRAWN.includes(f.key)),
    drawn = schema.fields.filter((f) => DRAWN.includes(f.key)),
    look = () => go("outline", `${prefix}.picture`);
  return h(
    "div",
    {class: "card"},
    h("h3", {}, `View from the ${one.from}`, removeButton(desk, prefix, of)),
    add(tableForm(desk, prefix, own, {unfold: true, of})),
    one.picture
      ? button("Look at the picture", look, {class: "plain"})
      : add(tableForm(desk, prefix, drawn, {of})),
  );
}

// A view by a picture or a drawing that is handed over, offered from where something new is seen.
function viewAdder(desk, views) {
  const options = SIDES.map((word) => h("option", {value: word}, `seen from the ${word}`)),
    side = h("select", {"aria-label": "seen from"}, options),
    chooser = h("input", {type: "file", hidden: true, onchange: put}),
    error = h("p", {class: "error", role: "alert"}),
    seen = (...sides) => views.some((one) => sides.includes(one.from));
  side.value = seen("front", "back") && !seen("left", "right") ? "right" : "front";

  async function put() {
    if (!chooser.files.length) return;
    const {path, problems} = await desk.upload(chooser.files[0]);
    chooser.value = "";
    error.textContent = reasons(problems);
    if (!path) return;
    const values = {from: side.value, scale: "free", ...sourceOf(path)},
      answer = await desk.edit([{do: "add", key: "view", values}], `view from the ${side.value} added`);
    error.textContent = reasons(answer.problems);
  }

  return h("div", {}, row(side, button("Add a view", () => chooser.click()), chooser), error);
}
