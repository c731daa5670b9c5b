// Forms made from the schema: every key of the project has a labelled field with its unit.
import {button, h} from "./dom.js";
import {Field} from "./field.js";
import {group} from "./layout.js";

// The fields of a table: the usual ones open, the rare ones folded unless one is missing or mistaken. Of the options
// "open" names rare keys that are open all the same, "unfold" opens the others where one is used, "more" heads them;
// "each" tells a field's own options by its spec, and "of" what the table belongs to.
export function tableForm(desk, prefix, fields, options = {}) {
  const all = [];
  const make = (spec) => {
    const field = new Field(desk, `${prefix}.${spec.key}`, spec, {
      ...(options.each ? options.each(spec) : {}),
      of: options.of,
    });
    all.push(field);
    return field.element;
  };
  const first = fields.filter((f) => !f.rare || (options.open || []).includes(f.key));
  const rare = fields.filter((f) => !first.includes(f));
  const used = rare.some((f) => desk.value(`${prefix}.${f.key}`) !== undefined),
    asked = rare.map((f) => `${prefix}.${f.key}`).some((key) => desk.refusals.of(key) || desk.problemsAt(key).length);
  const element = h(
    "div",
    {},
    h("div", {class: "fields"}, first.map(make)),
    rare.length
      ? group(
          options.more || `More (${rare.length})`,
          asked || (used && options.unfold),
          h("div", {class: "fields"}, rare.map(make)),
        )
      : null,
  );
  return {element, fields: all, follow: () => all.forEach((field) => field.follow())};
}

// Forms that follow the project together: "add" takes one more and returns its element.
export function formsTogether() {
  const all = [];
  return {
    add(form) {
      all.push(form);
      return form.element;
    },
    follow: () => all.forEach((form) => form.follow()),
  };
}

// What takes a table of the project out; the name says which it is.
export function removeButton(desk, key, name) {
  const remove = () => desk.edit([{do: "remove", key}], `${name} removed`);
  return button("Remove", remove, {class: "plain", "aria-label": `remove ${name}`});
}

// Put the focus on the field of a key, its group unfolded; whether there is one here.
export function focusField(root, key) {
  const element = root.querySelector(`[data-key="${CSS.escape(key)}"]`);
  if (!element) return false;
  for (let at = element; at; at = at.parentElement) if (at.tagName === "DETAILS") at.open = true;
  const input = element.querySelector("input, select");
  element.scrollIntoView({block: "center"});
  (input || element).focus();
  return true;
}
