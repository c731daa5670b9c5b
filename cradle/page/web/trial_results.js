// The trials noted so far, a reading of a print to note instead, and what the next holder changes.
import {button, exact, h, sentence, short} from "./dom.js";
import {group, row, small} from "./layout.js";

export function trialResults({trials, learned, findings}, note) {
  const taken = [
    h("ul", {}, trials.map((t) => h("li", {}, trialWords(t)))),
    button("Take the last one back", () => note(null)),
  ];
  return [
    readingForm(note),
    ...(trials.length
      ? [...taken, whatChanges(learned)]
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

function whatChanges({corrections, ...inside}) {
  const {inside_error_after_mm: now, inside_error_after_spread_mm: spread} = inside,
    nothing = now === inside.inside_error_before_mm && spread === inside.inside_error_before_spread_mm;
  if (nothing && corrections.every((one) => one.gap_mm === 0))
    return h("p", {}, "The next holder stays as it is: by the measurements, that was to be expected.");
  const line = (name, value) => h("tr", {}, h("th", {scope: "row"}, name), h("td", {}, value)),
    signed = (mm) => `${mm >= 0 ? "+" : ""}${short(mm, 3)}`;
  return h(
    "table",
    {},
    h("caption", {}, "What changes in the next holder, mm per side"),
    h(
      "tbody",
      {},
      line("the printer's inside error", `${short(now, 3)} ± ${short(spread, 3)}`),
      corrections.map((one) => line(`gap added at ${one.section}`, signed(one.gap_mm))),
    ),
  );
}
