// What is still missing or mistaken, each with the way to its field.
import {button, h} from "./dom.js";
import {stepOf, wordsOf} from "./places.js";

export function missingList({desk, go}) {
  const {problems, readable} = desk.state;
  if (!problems.length || !readable) return [];
  const sections = (desk.state.values && desk.state.values.section) || [];
  const item = (p) =>
    h("li", {class: "warn"}, `${placeWords(p.where, sections)}: ${words(p)}`, way(p.where, go));
  return [h("h3", {}, "Still to be given"), h("ul", {class: "findings"}, problems.map(item))];
}

function words(problem) {
  return problem.found === "missing"
    ? `still to be given${problem.hint ? ` (${problem.hint})` : ""}.`
    : problem.words;
}

function placeWords(where, sections) {
  const number = where.match(/^section\[(\d+)\]\.?(.*)$/);
  if (!number) return where === "section" ? "sections" : wordsOf(where);
  const name = (sections[number[1] - 1] || {}).name || `section ${number[1]}`;
  return number[2] ? `${wordsOf(number[2])} of ${name}` : name;
}

function way(where, go) {
  const step = stepOf(where);
  if (where.includes(".")) return button("Go there", () => go(step, where), {class: "plain"});
  return step === "measure" ? button("Add one", () => go("outline"), {class: "plain"}) : null;
}
