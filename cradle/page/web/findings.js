// What was found, as items of a list: each with what helps.
import {h, sentence} from "./dom.js";

// What was found about the sections and how they lie, said wherever they are given; notes are left out.
export function sectionFindings(desk) {
  const said = (desk.sections.findings || []).filter((f) => f.severity !== "note"),
    item = (f) => findingItem(f, {place: f.where});
  return said.length ? [h("ul", {class: "findings"}, said.map(item))] : [];
}

// With the place in front, where one is given, and the ways that it leads behind.
export function findingItem({severity, message, advice}, {place, ways}) {
  return h(
    "li",
    {class: severity},
    `${place ? `${place}: ` : ""}${sentence(message)}`,
    advice ? h("em", {}, sentence(advice)) : null,
    ways,
  );
}
