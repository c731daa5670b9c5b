// One picture: its scale with its sources and doubt, its pieces, and what can be corrected by pointing.
import {adjust, onPicture} from "./adjust.js";
import {button, h, reasons} from "./dom.js";
import {typedTable} from "./field_parts.js";
import {tableForm} from "./fields.js";
import {row, small} from "./layout.js";
import {freeName} from "./new_section.js";
import {PictureView} from "./picture.js";
import {pictureWords, sizeWords} from "./piece_words.js";
import {ruler} from "./ruler.js";
import {sections} from "./sections.js";

const UP_FRONT = ["shape"];
const CHOICE = ["pick", "point", "back", "back_file"];
const PIECE_HINT =
  "Press the piece that is the outline. Where one lies within another, press the inner one where it is alone.";
const MODES = [
  ["pick", "Choose the piece"],
  ["ruler", "Scale by two points"],
];

export function pictureStep(context, details) {
  const {desk, view} = context,
    shown = new PictureView(),
    said = h("div", {}),
    error = h("p", {class: "error", role: "alert"}),
    waits = h("p", {class: "small", role: "status"}),
    chooser = h("select", {id: "piece", onchange: () => pick(chooser.value)});
  let one = null,
    file = "",
    keys = "",
    mode = "pick",
    trace = null,
    looking = false,
    awaited = false,
    form = null,
    scale = null,
    buttons = [],
    editor = null;
  const key = (name) => `${one.prefix}.picture.${name}`,
    saidOf = () => (one && desk.value(`${one.prefix}.picture`)) || {};
  const picking = h("div", {}, small(PIECE_HINT),
    h("div", {class: "field"}, h("label", {for: "piece"}, "the piece"), chooser)); // prettier-ignore

  function show(entry) {
    stopEditing();
    one = entry;
    const fields = desk.schema.section.inside.picture.fields.map((f) => ({
      ...f,
      rare: !UP_FRONT.includes(f.key),
    }));
    form = tableForm(desk, `${one.prefix}.picture`, fields, {of: one.name, more: "More about this picture"});
    scale = ruler({key, name: one.name, picture: saidOf, change, moved: draw});
    buttons = MODES.map(([id, words]) =>
      button(words, () => setMode(id), {"aria-pressed": "false", "data-mode": id}),
    );
    details.replaceChildren(
      h("h3", {}, one.name),
      said,
      row(buttons),
      picking,
      scale.element,
      waits,
      error,
      form.element,
      row(more()),
    );
    view.replaceChildren(shown.element);
    if (file !== one.picture.file) {
      file = one.picture.file;
      shown.load(`/picture?path=${encodeURIComponent(file)}`);
    }
    trace = null;
    looking = awaited = false;
    waits.textContent = error.textContent = "";
    keys = "";
    setMode("pick");
    follow();
  }

  function more() {
    return [
      button("Show the whole picture", () => shown.whole()),
      ...(one.prefix.startsWith("section")
        ? [button("Move its points", edit), button("Another outline from this picture", another)]
        : []),
    ];
  }

  function setMode(id) {
    mode = id;
    for (const b of buttons) b.setAttribute("aria-pressed", String(b.dataset.mode === id));
    picking.hidden = id !== "pick";
    scale.element.hidden = id !== "ruler";
    scale.again();
    draw();
  }

  // A further section from the same picture: its piece is chosen by the next press.
  async function another() {
    const picture = typedTable(desk.value(`${one.prefix}.picture`), CHOICE),
      stem = one.name.replace(/ \d+$/, ""),
      name = freeName(desk, (n) => `${stem} ${n}`, 2),
      values = {name, picture},
      answer = await change([{do: "add", key: "section", values}], `another outline from ${picture.file}`);
    if (answer.ok) context.go("outline", `section[${sections(desk).length}].picture`);
  }

  function edit() {
    const mine = trace && (trace.pieces || []).find((piece) => piece.picked);
    awaited = looking;
    error.textContent = "";
    waits.textContent = looking ? "The picture is still being looked at; then its points can be moved." : "";
    if (looking) return;
    if (!mine || !mine.size) {
      error.textContent = !trace
        ? "No outline could be found in this picture: see above. Its points can be moved once there is one."
        : mine
          ? "No scale was found yet, so its points cannot be moved. Give it with “Scale by two points”."
          : "Choose the piece first; then its points can be moved.";
      return;
    }
    const picture = saidOf(),
      place = onPicture(context, shown, picture);
    editor = adjust(context, {
      prefix: one.prefix,
      name: one.name,
      ring: mine.whole,
      ends: desk.value(`${one.prefix}.half`) ? mine.chord : null,
      place,
      done: () => one && show(one),
    });
    details.replaceChildren(editor.element);
  }

  function stopEditing() {
    if (editor) editor.leave();
    editor = null;
  }

  async function change(steps, label) {
    const answer = await desk.edit(steps, label);
    error.textContent = reasons(answer.problems);
    return answer;
  }

  function pick(number) {
    const steps = [
      {do: "set", key: key("point"), value: ""},
      {do: "set", key: key("pick"), value: number},
    ];
    return change(steps, `piece of ${one.name} chosen`);
  }

  shown.onclick = (x, y) => {
    if (!one || editor) return;
    if (mode === "ruler") {
      scale.press([x, y]);
      return;
    }
    const steps = [
      {do: "set", key: key("pick"), value: ""},
      {do: "set", key: key("point"), value: `${x.toFixed(0)} ${y.toFixed(0)}`},
    ];
    change(steps, `piece of ${one.name} chosen`);
  };

  async function look() {
    const picture = desk.value(`${one.prefix}.picture`);
    if (!picture) return;
    const now = JSON.stringify([one.prefix, picture]);
    if (now === keys) return;
    keys = now;
    looking = true;
    said.replaceChildren(small("Looking at the picture …"));
    shown.say(`${one.name}: the picture is being opened …`);
    if (!chooser.children.length) chooser.replaceChildren(h("option", {}, "looking at the picture …"));
    await shown.loaded; // what is seen at once comes first
    if (keys !== now || !one) return;
    const {reading} = desk.progress;
    shown.say(`${one.name}: looking for its scale and outline …${reading ? ` First comes ${reading}.` : ""}`);
    const answer = await desk.post("/trace", {path: picture.file, picture});
    if (keys !== now || !one) return;
    looking = false;
    shown.say(shown.image ? "" : `${one.name}: this picture cannot be shown.`);
    if (!answer.ok) {
      trace = null;
      said.replaceChildren(...answer.problems.map((p) => h("p", {class: "error"}, p.words)));
      if (awaited) edit();
      return;
    }
    trace = answer.body;
    said.replaceChildren(...pictureWords(trace, desk.value(`${one.prefix}.scale`) === "free"));
    const pieces = trace.pieces || [],
      option = (piece) => h("option", {value: piece.number}, `piece ${piece.number}: ${sizeWords(piece)}`);
    chooser.replaceChildren(h("option", {value: ""}, unnumbered(picture.point, pieces)), ...pieces.map(option));
    chooser.value = picture.pick === undefined ? "" : String(picture.pick);
    draw();
    if (awaited) edit();
  }

  function unnumbered(point, pieces) {
    if (point) return "as pressed in the picture";
    return pieces.length === 1 ? "the only one" : "not chosen yet";
  }

  function draw() {
    const found = trace || {},
      picture = saidOf(),
      ends = mode === "ruler" && scale ? scale.ends(picture) : [];
    shown.overlay({pieces: found.pieces || [], scale: (found.scales || [])[0], ends});
  }

  function follow() {
    if (!one || editor) return;
    if (form) form.follow();
    look();
    draw();
  }

  return {
    show,
    follow,
    hide() {
      stopEditing();
      awaited = false;
      one = null;
    },
    leave() {
      stopEditing();
      shown.leave();
    },
  };
}
