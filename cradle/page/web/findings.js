// What was found, as items of a list: each with what helps.
import {button, h, sentence} from "./dom.js";
import {HOW_IT_LEANS, LEAN} from "./places.js";

// What was found about the sections and how they lie, said wherever they are given. Of the notes, that nothing tells
// how the thing leans is said where they are seen to stand upright, with the way to what tells it.
export function sectionFindings(desk, go) {
  const said = (desk.sections.findings || []).filter((f) => f.severity !== "note" || (go && f.code === LEAN)),
    {step, key, words} = HOW_IT_LEANS,
    way = () => button(`Go to ${words}`, () => go(step, key), {class: "plain"}),
    item = (f) => findingItem(f, {place: f.where, ways: go && f.code === LEAN ? way() : null});
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
