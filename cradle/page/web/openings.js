// The openings of the block: a card for each, and one more of any kind.
import {button, h, reasons} from "./dom.js";
import {removeButton, tableForm} from "./fields.js";
import {group, row} from "./layout.js";

// What a new opening is given for what it must have.
const FIRST = {
  diameter: "6",
  width: "12",
  length: "20",
  height: "10",
  depth: "2",
  through: "front",
  text: "A",
};
const plain = (kind) => String(kind).replace(/_/g, " ");

export function openingsForm(desk, add) {
  const given = desk.value("opening") || [],
    {kinds, by} = desk.schema.opening,
    error = h("p", {class: "error", role: "alert"});
  const options = Object.keys(kinds).map((kind) => h("option", {value: kind}, plain(kind))),
    choose = h("select", {"aria-label": "kind of opening", onchange: explain}, options),
    says = h("p", {class: "says", role: "status"});

  function explain() {
    says.textContent = kinds[choose.value].says || "";
  }
  explain();

  async function put() {
    const values = firstValues(kinds[choose.value].fields, by, choose.value),
      answer = await desk.edit([{do: "add", key: "opening", values}], `${plain(choose.value)} added`);
    error.textContent = reasons(answer.problems);
  }

  return group(
    `Openings (${given.length})`,
    given.length > 0,
    given.map((one, n) => card(desk, add, one[by], n + 1)),
    h("div", {class: "field"}, choose, says),
    row(button("Add this opening", put)),
    error,
  );
}

function card(desk, add, kind, number) {
  const prefix = `opening[${number}]`,
    known = desk.schema.opening.kinds[kind],
    of = `opening ${number}`;
  return h(
    "div",
    {class: "card"},
    h(
      "h3",
      {"data-key": prefix, tabindex: "-1"},
      `${number}: ${plain(kind)}`,
      removeButton(desk, prefix, of),
    ),
    known ? add(tableForm(desk, prefix, known.fields, {of, unfold: true})) : null,
  );
}

function firstValues(fields, by, kind) {
  const values = {[by]: kind};
  for (const field of fields.filter((f) => f.required && f.key !== by))
    values[field.key] = FIRST[field.key] || field.words[0] || "5";
  return values;
}
