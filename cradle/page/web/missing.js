// What is still missing or mistaken, each with the way to its field.
import {button, h} from "./dom.js";
import {stepOf, wordsOf} from "./places.js";
import {sections} from "./sections.js";

export function missingList(context) {
  const {desk} = context,
    {problems, readable} = desk.state;
  if (!problems.length || !readable) return [];
  const item = (p) => h("li", {class: "warn"}, words(p, desk), " ", way(p, context)),
    gaps = problems.every((p) => p.found === "missing" || isTooFew(p, desk));
  return [
    h("h3", {}, gaps ? "Still to be given" : "Still to be seen to"),
    h("ul", {class: "findings"}, problems.map(item)),
  ];
}

const isTooFew = (p, desk) => p.where === "section" && sections(desk).length < 2;

function words(problem, desk) {
  if (isTooFew(problem, desk))
    return sections(desk).length ? "One more outline, at another height." : "Outlines at two heights at least.";
  const place = wordsOf(desk, problem.where),
    named = place.charAt(0).toUpperCase() + place.slice(1);
  return problem.found === "missing" ? `${named}.` : `${named}: ${problem.words}`;
}

// Where outlines are handed over in the same step, no way leads there.
function way({where}, {go, controls}) {
  const step = stepOf(where);
  if (where.includes(".")) return button("Go there", () => go(step, where), {class: "plain"});
  return step === "measure" && !controls.querySelector(".drop") ? button("Add one", () => go("outline"), {class: "plain"}) : null;
}
