// The frame around the steps: where one is, what is saved, what can be undone, what is being done.
import {Desk} from "./desk.js";
import {button, h} from "./dom.js";
import {focusField} from "./fields.js";
import {sections} from "./sections.js";
import {STEPS} from "./steps.js";
import {showWork} from "./work.js";

const at = (id) => document.getElementById(id);
const desk = new Desk(),
  controls = at("controls"),
  view = at("view"),
  found = at("found");
let current = null,
  wasReadable = true;

function go(id, key) {
  const step = STEPS.find((one) => one.id === id) || STEPS[0];
  if (!current || current.step !== step) begin(step);
  if (!key) return;
  if (current.shown.reveal) current.shown.reveal(key);
  // Of what has no field of its own the table has one; at least the step comes into view.
  const nearest = [key, key.replace(/\[\d+\]$/, ""), key.replace(/\.[^.]*$/, "")];
  if (!nearest.some((one) => focusField(controls, one))) controls.focus();
}

function begin(step) {
  if (current && current.shown.leave) current.shown.leave();
  for (const place of [controls, view, found]) place.replaceChildren();
  current = {step, shown: step.show({desk, controls, view, found, go})};
  const next = STEPS[STEPS.indexOf(step) + 1];
  if (next)
    controls.append(
      h(
        "p",
        {class: "next"},
        button(`Next: ${next.title}`, () => {
          go(next.id);
          controls.focus();
        }),
      ),
    );
  for (const place of [controls, at("beside")]) place.scrollTop = 0;
  window.scrollTo(0, 0);
  for (const b of document.querySelectorAll("#steps button")) {
    if (b.dataset.step === step.id) b.setAttribute("aria-current", "step");
    else b.removeAttribute("aria-current");
  }
  history.replaceState(null, "", `${location.pathname}#${step.id}`);
}

function frame() {
  at("steps").append(
    ...STEPS.map((step, n) => button(`${n + 1} ${step.title}`, () => go(step.id), {"data-step": step.id})),
  );
  at("undo").addEventListener("click", () => desk.undo());
  at("redo").addEventListener("click", () => desk.redo());
  at("skip").addEventListener("click", () => controls.focus());
  document.addEventListener("keydown", keyed);
  desk.on({state: told, hand: ways, trouble: (event) => say(event.detail)});
  showWork(desk, at("work"));
}

function keyed(event) {
  const typing = event.target.matches("input:not([type=checkbox]):not([type=range]), textarea");
  if (!(event.ctrlKey || event.metaKey) || typing) return;
  const key = event.key.toLowerCase(),
    again = key === "y" || (key === "z" && event.shiftKey);
  if (key !== "z" && !again) return;
  event.preventDefault();
  if (again) desk.redo();
  else desk.undo();
}

// What the project says now: its name, that it is saved, what can be undone.
function told() {
  const {state} = desk,
    object = (state.values && state.values.object) || {};
  at("name").textContent = document.title = `Holder for: ${object.name || "a new thing"}`;
  at("saved").replaceChildren(
    savedWords(state),
    state.notice ? h("span", {class: "notice"}, `; ${state.notice}`) : "",
  );
  ways();
  controls.inert = !state.readable;
  if (!state.readable) say(state.problems.map((p) => unreadable(state.file, p)));
  else if (!wasReadable) say([]);
  wasReadable = state.readable;
}

function savedWords({readable, file, there}) {
  if (!readable) return `${file} cannot be read`;
  return there ? `Saved in ${file}` : `Will be saved in ${file}`;
}

// What can be undone and done again: by hand first, where something is in the hand.
function ways() {
  for (const [id, word] of [
    ["undo", "Undo"],
    ["redo", "Redo"],
  ]) {
    const label = (desk.hand && desk.hand[id]) || desk.state[id],
      words = label ? `${word}: ${label}` : `Nothing to ${id}`;
    at(id).disabled = !label;
    at(id).title = words;
    at(id).setAttribute("aria-label", words);
  }
}

function unreadable(file, problem) {
  const line = problem.line ? `, line ${problem.line}` : "";
  return `${file}${line}: ${problem.words} Correct it in your editor; the page follows by itself.`;
}

function say(lines) {
  at("trouble").replaceChildren(...lines.map((line) => h("p", {}, line)));
}

frame();
desk.open().then(() => {
  const first = desk.state.sound ? "holder" : sections(desk).length ? "measure" : "outline";
  go(location.hash.slice(1) || first);
  window.addEventListener("hashchange", () => go(location.hash.slice(1)));
});
