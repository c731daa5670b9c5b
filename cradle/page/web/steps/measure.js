// Measure: each section's name, height and caliper readings, with the residual at once; plain shapes; side profiles and views.
import {button, h, sentence, short} from "../dom.js";
import {tableForm} from "../fields.js";
import {sectionPlot} from "../section_plot.js";
import {missingList} from "./holder.js";

const FIRST = ["name", "height", "width", "depth", "girth"];
const PLAIN = ["form", "width", "depth", "corner", "diagonal"];

export const measure = {
  id: "measure",
  title: "Measure",
  show(context) {
    const {desk, controls, view, go} = context;
    const list = h("div", {}),
      sides = h("div", {}),
      missing = h("div", {});
    let signature = "",
      all = [],
      chosen = 1,
      residuals = [];
    controls.replaceChildren(
      h("h2", {}, "Measure the thing"),
      h(
        "p",
        {class: "small"},
        "Unplug it, let it cool, empty it, and tape or sheath a blade first. All heights count from the plate it stands on. Width runs left to right, depth front to back, both the largest at that height.",
      ),
      list,
      h(
        "div",
        {class: "row"},
        button("Add a plain shape", addPlain),
        button("Add a picture or drawing", () => go("outline")),
      ),
      missing,
      sides,
    );

    // Its sizes are for whoever measures it to give.
    async function addPlain() {
      const sections = desk.value("section") || [];
      const answer = await desk.edit(
        [{do: "add", key: "section", values: {name: freeName(sections), measured: {form: "ellipse"}}}],
        "plain shape added",
      );
      if (answer.ok) go("measure", `section[${sections.length + 1}].height`);
    }

    function build() {
      all = [];
      residuals = [];
      const sections = desk.value("section") || [],
        {fields, inside} = desk.schema.section;
      list.replaceChildren(
        ...(sections.length
          ? sections.map((one, n) => card(one, n + 1, fields, inside))
          : [
              h(
                "p",
                {},
                "There are no sections yet. A section is the outline of the thing at one height. At least two are needed.",
              ),
            ]),
      );
      sides.replaceChildren(sideForms());
    }

    function card(section, number, fields, inside) {
      const prefix = `section[${number}]`,
        of = section.name || `section ${number}`,
        plain = section.measured !== undefined;
      const pick = (keys, from) => keys.map((key) => from.find((f) => f.key === key)).filter(Boolean);
      const own = plain ? FIRST.filter((key) => key !== "width" && key !== "depth") : FIRST;
      const form = tableForm(desk, prefix, pick(own, fields), {
        open: FIRST,
        of,
        each: (f) => ({quiet: f.key !== "girth", step: f.key === "height" ? 1 : 0.05}),
      });
      const shape = plain
        ? tableForm(desk, `${prefix}.measured`, pick(PLAIN, inside.measured.fields), {open: PLAIN, of})
        : null;
      const skip = [
        ...FIRST,
        "shift",
        "turn",
        ...(plain
          ? ["half", "outline", "layer", "unit"]
          : section.picture
            ? ["outline", "layer", "unit"]
            : []),
      ];
      const rest = tableForm(
        desk,
        prefix,
        fields.filter((f) => !skip.includes(f.key)).map((f) => ({...f, rare: true})),
        {of, more: "More about this section"},
      );
      all.push(form, rest, ...(shape ? [shape] : []));
      const residual = h("p", {class: "small", role: "status"}),
        wrong = h("p", {class: "error", role: "alert"});
      residuals.push({number, residual, wrong});
      const element = h(
        "div",
        {
          class: `card${number === chosen ? " chosen" : ""}`,
          onfocusin: () => choose(number),
          onpointerdown: () => choose(number),
        },
        h(
          "h3",
          {},
          of,
          h(
            "span",
            {class: "small"},
            plain
              ? "plain shape"
              : section.picture
                ? `from ${section.picture.file}`
                : section.outline
                  ? `from ${section.outline}`
                  : "",
          ),
          button("Remove", () => desk.edit([{do: "remove", key: prefix}], `${of} removed`), {
            class: "plain",
            "aria-label": `remove ${of}`,
          }),
        ),
        form.element,
        shape ? shape.element : null,
        residual,
        wrong,
        rest.element,
        section.picture
          ? button("Look at the picture", () => go("outline", `${prefix}.picture`), {class: "plain"})
          : null,
      );
      element.dataset.number = number;
      return element;
    }

    function choose(number) {
      if (chosen === number) return;
      chosen = number;
      list
        .querySelectorAll(".card")
        .forEach((c) => c.classList.toggle("chosen", Number(c.dataset.number) === chosen));
      draw();
    }

    function sideForms() {
      const side = tableForm(
        desk,
        "side",
        desk.schema.side.fields.map((f) => ({...f, rare: false})),
        {each: () => ({accept: ".csv,.svg,.dxf"})},
      );
      all.push(side);
      const given = desk.value("view") || [],
        schema = desk.schema.view;
      const cards = given.map((one, n) => {
        const prefix = `view[${n + 1}]`,
          source = one.picture
            ? [`${prefix}.picture`, schema.inside.picture.fields]
            : [prefix, schema.fields.filter((f) => ["outline", "layer", "unit"].includes(f.key))];
        const form = tableForm(
            desk,
            prefix,
            schema.fields.filter((f) => !["outline", "layer", "unit"].includes(f.key)),
            {unfold: true, of: `view ${n + 1}`},
          ),
          from = tableForm(desk, source[0], source[1], {of: `view ${n + 1}`});
        all.push(form, from);
        return h(
          "div",
          {class: "card"},
          h(
            "h3",
            {},
            `View from the ${one.from}`,
            button("Remove", () => desk.edit([{do: "remove", key: prefix}], `view ${n + 1} removed`), {
              class: "plain",
            }),
          ),
          form.element,
          from.element,
        );
      });
      return h(
        "details",
        {class: "group", open: given.length > 0 || desk.value("side") !== undefined},
        h("summary", {}, "How it leans: side profiles and views"),
        h(
          "p",
          {class: "small"},
          "Sections alone cannot tell how the thing leans. A profile is a list of heights and how far the side reaches there; both sides count from one zero line. A view is a closed outline seen from a side.",
        ),
        side.element,
        cards,
        viewAdder(desk),
      );
    }

    function follow() {
      const sections = desk.value("section") || [];
      const now = JSON.stringify([
        sections.map((one) => [
          one.name,
          Object.keys(one).filter((k) => ["measured", "picture", "outline"].includes(k)),
          one.picture && one.picture.file,
        ]),
        (desk.value("view") || []).map((v) => [v.from, Boolean(v.picture)]),
        desk.state.readable,
      ]);
      if (now !== signature && !(list.contains(document.activeElement) && sameShape(signature, now))) {
        signature = now;
        build();
      } else all.forEach((form) => form.follow());
      missing.replaceChildren(...missingList(context));
      tell();
    }

    function tell() {
      for (const {number, residual, wrong} of residuals) {
        const found = desk.sections.sections.find((one) => one.number === number);
        residual.replaceChildren(found ? residualWords(desk, found) : "");
        const own = found
          ? found.problems.filter(
              (p) =>
                p.found !== "missing" &&
                !desk.state.problems.some((q) => q.where === p.where && q.found === p.found),
            )
          : [];
        wrong.textContent = own.map((p) => p.words).join(" ");
      }
      draw();
    }

    function draw() {
      const found = desk.sections.sections.find((one) => one.number === chosen),
        figure = found ? sectionPlot(found) : null;
      const said = (desk.sections.findings || []).filter((f) => f.severity !== "note");
      view.replaceChildren(
        ...[
          figure
            ? h(
                "figure",
                {},
                figure,
                h(
                  "figcaption",
                  {},
                  `${found.name} from above, the front at the bottom. Blue: the outline as used.${found.placed && found.placed.scale.some((v) => v !== 1) ? " Dashed: as drawn, before it was brought to the readings." : ""}`,
                ),
              )
            : h("p", {class: "small"}, "The section that you are measuring is drawn here."),
          ...(desk.sections.problems || []).map((p) =>
            h("p", {class: "error"}, `${p.where ? `${p.where}: ` : ""}${p.words}`),
          ),
          said.length
            ? h(
                "ul",
                {class: "findings"},
                said.map((f) =>
                  h(
                    "li",
                    {class: f.severity},
                    `${f.where ? `${f.where}: ` : ""}${sentence(f.message)}`,
                    f.advice ? h("em", {}, sentence(f.advice)) : null,
                  ),
                ),
              )
            : null,
        ].filter(Boolean),
      );
    }

    const off = [desk.on("state", follow), desk.on("sections", tell)];
    follow();
    return {
      leave: () => off.forEach((stop) => stop()),
      reveal(key) {
        const number = key.match(/^section\[(\d+)\]/);
        if (number) choose(Number(number[1]));
      },
    };
  },
};

// Whether only a name differs: then the form stays, for somebody is typing in it. Sections that changed places do not count.
function sameShape(before, now) {
  if (!before) return false;
  const [was, is] = [JSON.parse(before)[0], JSON.parse(now)[0]],
    bare = (list) => JSON.stringify(list.map((one) => one.slice(1)));
  const names = (list) => JSON.stringify(list.map((one) => one[0]).sort());
  return bare(was) === bare(is) && names(was) !== names(is);
}

function freeName(sections) {
  const taken = new Set(sections.map((one, n) => one.name || `section ${n + 1}`));
  for (let n = sections.length + 1; ; n++) if (!taken.has(`section ${n}`)) return `section ${n}`;
}

// Reading against outline, in mm and percent.
function residualWords(desk, section) {
  if (!section.size) return "";
  const [width, depth] = section.size,
    parts = [];
  const compared = (word, drawn, read) =>
    read === null || read === undefined
      ? `${word} ${short(drawn)} mm as drawn`
      : `${word} ${short(drawn)} mm drawn, ${short(read)} read: ${read - drawn >= 0 ? "+" : ""}${short(read - drawn)} mm (${short(100 * (read / drawn - 1), 1)} %)`;
  const now = (word, n) => {
    const typed = desk.value(`section[${section.number}].${word}`);
    return typeof typed === "number" ? typed : typed === undefined ? null : (section.read || [])[n];
  };
  const read = [now("width", 0), now("depth", 1)];
  parts.push(compared("width", width, section.half ? null : read[0]), compared("depth", depth, read[1]));
  return parts.join("; ");
}

// A view from a side, by a picture or a drawing that is handed over.
function viewAdder(desk) {
  const side = h(
    "select",
    {"aria-label": "seen from"},
    ["front", "back", "left", "right"].map((word) => h("option", {value: word}, `seen from the ${word}`)),
  );
  const chooser = h("input", {type: "file", hidden: true, onchange: add}),
    error = h("p", {class: "error", role: "alert"});
  async function add() {
    if (!chooser.files.length) return;
    const {path, problems} = await desk.upload(chooser.files[0]);
    chooser.value = "";
    const source = path && path.startsWith("pictures/") ? {picture: {file: path}} : {outline: path};
    const answer = path
      ? await desk.edit(
          [{do: "add", key: "view", values: {from: side.value, scale: "free", ...source}}],
          `view from the ${side.value} added`,
        )
      : {problems};
    error.textContent = answer.problems.map((p) => p.words).join(" ");
  }
  return h(
    "div",
    {},
    h(
      "div",
      {class: "row"},
      side,
      button("Add a view", () => chooser.click()),
      chooser,
    ),
    error,
  );
}
