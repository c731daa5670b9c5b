// The trials noted so far, a reading of a print to note instead, and what the next holder changes.
import {button, exact, h, sentence, short} from "./dom.js";
import {group, row, small} from "./layout.js";

export function trialResults({trials, learned, gaps, findings}, note) {
  const taken = [
    h("ul", {}, trials.map((t) => h("li", {}, trialWords(t)))),
    button("Take the last one back", () => note(null)),
  ];
  return [
    readingForm(note),
    ...(trials.length
      ? [...taken, whatChanges(learned, gaps)]
      : [small("No trial is noted yet.")]),
    h("ul", {class: "findings"}, findings.map((words) => h("li", {class: "warn"}, sentence(words)))),
  ];
}

// A test ring by where it belongs, at a section or at another height.
export function ringWords({section, height}) {
  return `ring at ${section ?? `${short(height)} mm`}`;
}

function trialWords(t) {
  if (!t.seen) return `${t.date}: a reading: ${short(t.read_mm)} where ${short(t.nominal_mm)} was meant`;
  const piece = t.piece === "holder" ? "the holder" : ringWords({section: t.section, height: t.height_mm}),
    side = t.side ? ` at the ${t.side}` : "";
  return `${t.date}: ${piece}, ${exact(t.clearance_mm)} mm: ${t.seen}${side}`;
}

function readingForm(note) {
  const field = () => h("input", {type: "text", inputmode: "decimal", size: 7}),
    read = field(),
    nominal = field();
  return group(
    "Note a reading of a print instead",
    false,
    row(
      h("label", {}, "it reads, mm ", read),
      h("label", {}, "it should read, mm ", nominal),
      button("Note it", () => note({read: read.value, nominal: nominal.value})),
    ),
  );
}

function whatChanges(learned, gaps) {
  const inside = (mm, spread) => `${short(mm, 3)}\u00a0±\u00a0${short(spread, 3)}`,
    gap = (mm) => mm.toFixed(2),
    changes = [
      [
        "the printer's inside error",
        inside(learned.inside_error_before_mm, learned.inside_error_before_spread_mm),
        inside(learned.inside_error_after_mm, learned.inside_error_after_spread_mm),
      ],
      ...gaps.map((one) => [one.where, gap(one.before_mm), gap(one.after_mm)]),
    ];
  if (changes.every(([, before, after]) => before === after))
    return h("p", {}, "The next holder stays as it is: by the measurements, that was to be expected.");
  const head = (words) => h("th", {scope: "col"}, words);
  return h(
    "table",
    {},
    h("caption", {}, "What changes in the next holder, mm per side"),
    h("thead", {}, h("tr", {}, h("td"), head("before"), head("after"))),
    h(
      "tbody",
      {},
      changes.map(([what, before, after]) =>
        h("tr", {}, h("th", {scope: "row"}, what), h("td", {}, before), h("td", {}, after)),
      ),
    ),
  );
}
