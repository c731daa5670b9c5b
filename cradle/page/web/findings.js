// What was found about the sections and how they lie, said wherever they are given.
import {h, sentence} from "./dom.js";

export function sectionFindings(desk) {
  const said = (desk.sections.findings || []).filter((f) => f.severity !== "note");
  return said.length ? [h("ul", {class: "findings"}, said.map(item))] : [];
}

function item(finding) {
  return h(
    "li",
    {class: finding.severity},
    `${finding.where ? `${finding.where}: ` : ""}${sentence(finding.message)}`,
    finding.advice ? h("em", {}, sentence(finding.advice)) : null,
  );
}
