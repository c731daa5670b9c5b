// Holder: the block and all that belongs to it, beside thing and holder in 3-D.
import {button, h} from "../dom.js";
import {tableForm} from "../fields.js";
import {careOf, holderView} from "../holder_view.js";

const GROUPS = ["block", "fit", "row", "printer", "loft", "spread"];
const OPEN = {block: [], object: ["hazards"]};

export const holder = {
  id: "holder",
  title: "Holder",
  show(context) {
    const {desk, controls} = context;
    const view = holderView(context),
      care = careOf(desk),
      missing = h("div", {}),
      forms = h("div", {});
    let signature = "",
      all = [];
    controls.replaceChildren(h("h2", {}, "The holder"), care.element, missing, forms);

    function build() {
      all = [];
      const add = (form) => {
        all.push(form);
        return form.element;
      };
      const table = (name, open) =>
        h(
          "details",
          {class: "group", open},
          h("summary", {}, desk.schema[name].title),
          desk.schema[name].says ? h("p", {class: "small"}, desk.schema[name].says) : null,
          add(tableForm(desk, name, desk.schema[name].fields)),
        );
      forms.replaceChildren(
        h("h3", {}, "The thing"),
        add(tableForm(desk, "object", desk.schema.object.fields, {open: OPEN.object})),
        ...GROUPS.slice(0, 1).map((name) => table(name, true)),
        openings(add),
        plate(add),
        ...GROUPS.slice(1).map((name) => table(name, false)),
      );
    }

    function openings(add) {
      const given = desk.value("opening") || [],
        {kinds, by} = desk.schema.opening;
      const choose = h(
        "select",
        {"aria-label": "kind of opening"},
        Object.keys(kinds).map((kind) =>
          h("option", {value: kind}, `${kind.replace(/_/g, " ")}: ${kinds[kind].says || ""}`),
        ),
      );
      const error = h("p", {class: "error", role: "alert"});
      const cards = given.map((one, n) => {
        const prefix = `opening[${n + 1}]`,
          kind = one[by];
        return h(
          "div",
          {class: "card"},
          h(
            "h3",
            {},
            `${n + 1}: ${String(kind).replace(/_/g, " ")}`,
            button("Remove", () => desk.edit([{do: "remove", key: prefix}], `opening ${n + 1} removed`), {
              class: "plain",
            }),
          ),
          kinds[kind]
            ? add(tableForm(desk, prefix, kinds[kind].fields, {of: `opening ${n + 1}`, unfold: true}))
            : null,
        );
      });
      return h(
        "details",
        {class: "group", open: given.length > 0},
        h("summary", {}, `Openings (${given.length})`),
        cards,
        h(
          "div",
          {class: "row"},
          choose,
          button("Add", async () => {
            const answer = await desk.edit(
              [
                {
                  do: "add",
                  key: "opening",
                  values: firstValues(kinds[choose.value].fields, by, choose.value),
                },
              ],
              `opening ${choose.value} added`,
            );
            error.textContent = answer.problems.map((p) => p.words).join(" ");
          }),
        ),
        error,
      );
    }

    function plate(add) {
      const there = desk.value("plate") !== undefined;
      return h(
        "details",
        {class: "group", open: there},
        h("summary", {}, "Wall plate"),
        h("p", {class: "small"}, desk.schema.plate.says),
        there
          ? [
              button("Remove the plate", () =>
                desk.edit([{do: "remove", key: "plate"}], "wall plate removed"),
              ),
              add(tableForm(desk, "plate", desk.schema.plate.fields, {unfold: true})),
            ]
          : button("Add a wall plate", () =>
              desk.edit([{do: "add", key: "plate", values: {width: "110"}}], "wall plate added"),
            ),
      );
    }

    function follow() {
      const now = JSON.stringify([
        (desk.value("opening") || []).map((one) => one.kind),
        desk.value("plate") !== undefined,
        desk.state.readable,
      ]);
      if (now !== signature) {
        signature = now;
        build();
      } else all.forEach((form) => form.follow());
      care.follow();
      missing.replaceChildren(...missingList(context));
    }

    const off = [desk.on("state", follow), desk.on("holder", follow)];
    follow();
    return {
      leave() {
        view.leave();
        off.forEach((stop) => stop());
      },
    };
  },
};

// What a new opening of a kind is given: something for everything that it must have.
function firstValues(fields, by, kind) {
  const first = {
    diameter: "6",
    width: "12",
    length: "20",
    height: "10",
    depth: "2",
    through: "front",
    text: "A",
  };
  const values = {[by]: kind};
  for (const field of fields.filter((f) => f.required && f.key !== by))
    values[field.key] = first[field.key] || field.words[0] || "5";
  return values;
}

// What is still missing or mistaken, each with the way to its field.
export function missingList({desk, go}) {
  const {problems, readable} = desk.state;
  if (!problems.length || !readable) return [];
  const step = (where) => (/^(section|view|side)/.test(where) ? "measure" : "holder");
  return [
    h("h3", {}, "Still missing or mistaken"),
    h(
      "ul",
      {class: "findings"},
      problems.map((p) =>
        h(
          "li",
          {class: "warn"},
          `${p.where.replace(/\[(\d+)\]/g, " $1").replace(/[._]/g, " ")}: ${p.words}`,
          p.where.includes(".")
            ? button("Go there", () => go(step(p.where), p.where), {class: "plain"})
            : step(p.where) === "measure"
              ? button("Go there", () => go("outline"), {class: "plain"})
              : null,
        ),
      ),
    ),
  ];
}
