// A section as a card: its name, height and readings, what the readings come to, and the rest of its keys folded.
import {button, h, reasons} from "./dom.js";
import {removeButton, tableForm} from "./fields.js";
import {takenAs} from "./new_section.js";
import {residualLines, typedLength} from "./residual.js";
import {nameOf, readOf, sections} from "./sections.js";

const FIRST = ["name", "height", "width", "depth", "girth"];
const FIRST_OF_PLAIN = ["name", "height"];
const PLAIN = ["form", "width", "depth", "corner", "diagonal"];
const DRAWN = ["outline", "layer", "unit"];

function source(section) {
  if (section.measured !== undefined) return "plain shape";
  if (section.picture) return `from ${section.picture.file}`;
  return section.outline ? `from ${section.outline}` : "";
}

export function sectionCard({desk, go}, section, number, {add, onchoose}) {
  const {fields, inside} = desk.schema.section,
    prefix = `section[${number}]`,
    of = nameOf(section, number),
    plain = section.measured !== undefined,
    pick = (keys, from) => keys.map((key) => from.find((f) => f.key === key)).filter(Boolean),
    own = plain ? FIRST_OF_PLAIN : FIRST;
  const form = tableForm(desk, prefix, pick(own, fields), {
      open: FIRST,
      of,
      each: (f) => ({quiet: f.key !== "girth", step: f.key === "height" ? 1 : 0.05}),
    }),
    shape = plain
      ? tableForm(desk, `${prefix}.measured`, pick(PLAIN, inside.measured.fields), {open: PLAIN, of})
      : null,
    elsewhere = plain ? ["width", "depth", "half", ...DRAWN] : section.picture ? DRAWN : [],
    skip = [...own, "shift", "turn", ...elsewhere],
    others = fields.filter((f) => !skip.includes(f.key)).map((f) => ({...f, rare: true})),
    rest = tableForm(desk, prefix, others, {of, more: "More about this section", each: takenAs(desk, prefix)});
  const title = h("span", {}, of),
    residual = h("div", {class: "residual", role: "status"}),
    wrong = h("p", {class: "error", role: "alert"});

  // While somebody types, what stands in the fields counts; else what the project says.
  function compare() {
    const found = readOf(desk, number);
    const read = ["width", "depth"].map((key, n) => {
      const field = form.fields.find((one) => one.spec.key === key),
        typed = field ? typedLength(field.input.value) : null;
      return typed === undefined ? ((found && found.read) || [])[n] : typed;
    });
    const lines = found ? residualLines(found, plain ? [null, null] : read) : [];
    residual.replaceChildren(
      ...lines.map(({words, far}) => h("p", {class: far ? "small far" : "small"}, words)),
    );
  }

  function tell() {
    const found = readOf(desk, number),
      known = (p) => desk.state.problems.some((q) => q.where === p.where && q.found === p.found),
      own = found ? found.problems.filter((p) => p.found !== "missing" && !known(p)) : [];
    title.textContent = nameOf(sections(desk)[number - 1], number);
    wrong.textContent = reasons(own);
    compare();
  }

  const element = h(
    "div",
    {
      class: "card",
      onfocusin: () => onchoose(number),
      onpointerdown: () => onchoose(number),
      oninput: compare,
    },
    h("h3", {}, title, h("span", {class: "small"}, source(section)), removeButton(desk, prefix, of)),
    add(form),
    shape ? add(shape) : null,
    residual,
    wrong,
    add(rest),
    section.picture
      ? button("Look at the picture", () => go("outline", `${prefix}.picture`), {class: "plain"})
      : null,
  );
  return {element, number, tell};
}
