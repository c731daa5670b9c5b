// The trials noted so far, a reading of a print to note instead, and what the next holder changes.
import {button, exact, h, sentence, short} from "./dom.js";

export function trialResults({trials, changes, inside, inside_before: before, findings}, note) {
  const taken = [
    h(
      "ul",
      {},
      trials.map((t) => h("li", {}, trialWords(t))),
    ),
    button("Take the last one back", () => note(null)),
  ];
  return [
    readingForm(note),
    ...(trials.length
      ? [...taken, learned(changes, inside, before)]
      : [h("p", {class: "small"}, "No trial is noted yet.")]),
    h(
      "ul",
      {class: "findings"},
      findings.map((words) => h("li", {class: "warn"}, sentence(words))),
    ),
  ];
}

// A test ring by where it belongs, at a section or at another height.
export function ringWords({section, height}) {
  return `ring at ${section ?? `${short(height)} mm`}`;
}

function trialWords(t) {
  if (!t.seen) return `${t.date}: a reading: ${short(t.read)} where ${short(t.nominal)} was meant`;
  const piece = t.piece === "holder" ? "the holder" : ringWords(t),
    side = t.side ? ` at the ${t.side}` : "";
  return `${t.date}: ${piece}, ${exact(t.clearance)} mm: ${t.seen}${side}`;
}

function readingForm(note) {
  const field = () => h("input", {type: "text", inputmode: "decimal", size: 7}),
    read = field(),
    nominal = field();
  return h(
    "details",
    {class: "group"},
    h("summary", {}, "Note a reading of a print instead"),
    h(
      "div",
      {class: "row"},
      h("label", {}, "it reads, mm ", read),
      h("label", {}, "it should read, mm ", nominal),
      button("Note it", () => note({read: read.value, nominal: nominal.value})),
    ),
  );
}

function learned(changes, inside, before) {
  const nothing = changes.every(([, , now]) => now === 0) && String(inside) === String(before);
  if (!nothing) return changeTable(changes, inside);
  return h("p", {}, "The next holder stays as it is: by the measurements, that was to be expected.");
}

function changeTable(changes, inside) {
  const row = (name, value) => h("tr", {}, h("th", {scope: "row"}, name), h("td", {}, value)),
    signed = (mm) => `${mm >= 0 ? "+" : ""}${short(mm, 3)}`;
  return h(
    "table",
    {},
    h("caption", {}, "What changes in the next holder, mm per side"),
    h(
      "tbody",
      {},
      row("the printer's inside error", `${short(inside[0], 3)} ± ${short(inside[1], 3)}`),
      changes.map(([name, , now]) => row(`gap added at ${name}`, signed(now))),
    ),
  );
}
