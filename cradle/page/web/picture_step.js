// One picture: its scale with its sources and doubt, its pieces, and what can be corrected by pointing.
import {adjust} from "./adjust.js";
import {button, h, sentence, short} from "./dom.js";
import {tableForm} from "./fields.js";
import {PictureView} from "./picture.js";

const OWN_SCALE = ["scale", "mm_per_px", "dpi", "from", "to", "apart"];

export function pictureStep(context, details) {
  const {desk, view} = context;
  const shown = new PictureView(),
    said = h("div", {}),
    state = {one: null, file: "", keys: "", mode: "pick", ends: [], trace: null, form: null};
  const apart = h("input", {type: "text", inputmode: "decimal", size: 7, id: "apart-mm"});
  const error = h("p", {class: "error", role: "alert"}),
    hint = h("p", {class: "small", role: "status"});
  const key = (name) => `${state.one.prefix}.picture.${name}`;

  function show(one) {
    state.one = one;
    state.form = tableForm(desk, `${one.prefix}.picture`, desk.schema.section.inside.picture.fields, {
      of: one.name,
      more: "More about this picture",
    });
    details.replaceChildren(
      h("h3", {}, one.name),
      modes(),
      hint,
      scaleRow(),
      error,
      said,
      state.form.element,
    );
    view.replaceChildren(shown.element);
    if (state.file !== one.picture.file) {
      state.file = one.picture.file;
      state.trace = null;
      state.keys = "";
      shown.load(`/picture?path=${encodeURIComponent(one.picture.file)}`);
    }
    mode("pick");
    follow();
  }

  function modes() {
    state.buttons = [
      ["pick", "Choose the piece"],
      ["ruler", "Scale by two points"],
    ].map(([id, words]) => button(words, () => mode(id), {"aria-pressed": "false", "data-mode": id}));
    return h(
      "div",
      {class: "row"},
      state.buttons,
      button("Whole picture", () => shown.whole()),
      state.one.prefix.startsWith("section")
        ? [button("Another outline from this picture", another), button("Move its points", move)]
        : null,
    );
  }

  function mode(id) {
    state.mode = id;
    state.ends = [];
    state.buttons.forEach((b) => b.setAttribute("aria-pressed", String(b.dataset.mode === id)));
    hint.textContent =
      id === "pick"
        ? "Click the piece that is the outline. Where two lie in each other, click the inner one where it is alone."
        : "Click two marks of the ruler that are far apart, then give the distance between them.";
    rulerRow.hidden = id !== "ruler";
    draw();
  }

  const usual = [
    ["150", "the sheet’s long line"],
    ["85.6", "long side of a bank card, corner to corner"],
    ["53.98", "its short side"],
  ];
  const rulerRow = h(
    "div",
    {class: "row", hidden: true},
    h("label", {for: "apart-mm"}, "Distance between the two points, mm "),
    apart,
    usual.map(([mm, words]) =>
      button(
        mm,
        () => {
          apart.value = mm;
        },
        {class: "plain", "aria-label": `${mm} mm: ${words}`, title: words},
      ),
    ),
    button("Use this scale", ruler, {class: "first"}),
    button("Forget it: use what is found", forget, {class: "plain"}),
  );
  function scaleRow() {
    return rulerRow;
  }

  async function ruler() {
    const place = (p) => p.map((v) => v.toFixed(1)).join(" ");
    if (state.ends.length < 2) {
      error.textContent = "Click two points of the ruler first.";
      return;
    }
    await change(
      [
        ...OWN_SCALE.slice(0, 3).map((name) => ({do: "set", key: key(name), value: ""})),
        {do: "set", key: key("from"), value: place(state.ends[0])},
        {do: "set", key: key("to"), value: place(state.ends[1])},
        {do: "set", key: key("apart"), value: apart.value},
      ],
      `scale of ${state.one.name} by two points`,
    );
  }

  async function forget() {
    state.ends = [];
    await change(
      OWN_SCALE.map((name) => ({do: "set", key: key(name), value: ""})),
      `scale of ${state.one.name} as found`,
    );
  }

  // A further section from the same picture: its piece is chosen by the next click.
  async function another() {
    const sections = desk.value("section") || [],
      taken = new Set(sections.map((one) => one.name));
    let n = 2;
    while (taken.has(`${state.one.name} ${n}`)) n += 1;
    const keys = Object.fromEntries(
      Object.entries(desk.value(`${state.one.prefix}.picture`))
        .filter(([name]) => !["pick", "point", "back", "back_file"].includes(name))
        .map(([name, value]) => [name, Array.isArray(value) ? value.join(" ") : String(value)]),
    );
    const answer = await change(
      [{do: "add", key: "section", values: {name: `${state.one.name} ${n}`, picture: keys}}],
      `another outline from ${keys.file}`,
    );
    if (answer.ok) context.go("outline", `section[${(desk.value("section") || []).length}].picture`);
  }

  function move() {
    const number = Number(state.one.prefix.match(/\d+/)[0]),
      found = desk.sections.sections.find((row) => row.number === number);
    if (found && found.outline) adjust(context, state.one.prefix, found);
    else error.textContent = "There is no outline yet whose points could be moved.";
  }

  async function change(steps, label) {
    const answer = await desk.edit(steps, label);
    error.textContent = answer.problems.map((p) => p.words).join(" ");
    return answer;
  }

  shown.onclick = (x, y) => {
    if (!state.one) return;
    if (state.mode === "ruler") {
      state.ends = state.ends.length >= 2 ? [[x, y]] : [...state.ends, [x, y]];
      hint.textContent =
        state.ends.length === 1
          ? "Now the second mark."
          : "Now give their distance and press “Use this scale”.";
      if (state.ends.length === 2) apart.focus();
      draw();
    } else
      change(
        [
          {do: "set", key: key("pick"), value: ""},
          {do: "set", key: key("point"), value: `${x.toFixed(0)} ${y.toFixed(0)}`},
        ],
        `piece of ${state.one.name} chosen`,
      );
  };

  async function trace() {
    const picture = desk.value(`${state.one.prefix}.picture`);
    if (!picture) return;
    const keys = JSON.stringify(picture);
    if (keys === state.keys) return;
    state.keys = keys;
    said.replaceChildren(h("p", {class: "small"}, "Looking at the picture …"));
    const answer = await desk.post("/trace", {path: picture.file, picture});
    if (state.keys !== keys) return;
    state.trace = answer.body;
    if (!answer.ok) {
      said.replaceChildren(...answer.problems.map((p) => h("p", {class: "error"}, p.words)));
      return;
    }
    tell(answer.body);
    draw();
  }

  function tell(found) {
    const [used, ...others] = found.scales || [];
    said.replaceChildren(
      ...[
        ...(found.problems || []).map((p) => h("p", {class: "error"}, p.words)),
        used
          ? h(
              "p",
              {},
              h("strong", {}, "Scale: "),
              `${used.told}${used.uncertainty ? `, sure to ${short(used.uncertainty)} %` : ""}.`,
            )
          : h(
              "p",
              {},
              "Nothing in the picture tells its scale. Click two points of a ruler with “Scale by two points”.",
            ),
        others.length
          ? h("p", {class: "small"}, `Also found: ${others.map((one) => one.told).join("; ")}.`)
          : null,
        h("p", {class: "small"}, pieces(found.pieces || [])),
        ...(found.findings || [])
          .filter((f) => f.severity !== "note")
          .map((f) => h("p", {class: "small"}, sentence(f.message), " ", f.advice ? sentence(f.advice) : "")),
      ].filter(Boolean),
    );
  }

  function pieces(list) {
    const mine = list.find((one) => one.picked);
    const size = (one) => (one.size ? `${short(one.size[0])} × ${short(one.size[1])} mm` : "size not known");
    if (mine)
      return `The outline is piece ${mine.number} of ${list.length}: ${size(mine)}, its edge sure to ${short(mine.edge)} mm.`;
    return list.length ? `There are ${list.length} outlines. Click the right one.` : "No outline was found.";
  }

  function draw() {
    const found = state.trace || {},
      picture = (state.one && desk.value(`${state.one.prefix}.picture`)) || {};
    const ends =
      state.mode === "ruler"
        ? state.ends.length
          ? state.ends
          : picture.from && picture.to
            ? [picture.from, picture.to]
            : []
        : [];
    shown.overlay({pieces: found.pieces || [], scale: (found.scales || [])[0], ends});
  }

  function follow() {
    if (!state.one) return;
    if (state.form) state.form.follow();
    trace();
    draw();
  }

  return {
    show,
    hide() {
      state.one = null;
    },
    follow,
    leave() {
      shown.leave();
    },
  };
}
