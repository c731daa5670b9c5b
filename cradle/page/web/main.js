// The frame around the steps: where one is, what is saved, what can be undone, what is being done.
import {Desk} from "./desk.js";
import {button, h} from "./dom.js";
import {focusField} from "./fields.js";
import {STEPS} from "./steps.js";

const desk = new Desk(),
  controls = document.getElementById("controls"),
  view = document.getElementById("view");
let current = null;

function go(id, key) {
  const step = STEPS.find((one) => one.id === id) || STEPS[0];
  if (!current || current.step !== step) {
    if (current && current.shown.leave) current.shown.leave();
    controls.replaceChildren();
    view.replaceChildren();
    current = {step, shown: step.show({desk, controls, view, go})};
    document.querySelectorAll("#steps button").forEach((b) => {
      if (b.dataset.step === step.id) b.setAttribute("aria-current", "step");
      else b.removeAttribute("aria-current");
    });
    history.replaceState(null, "", `${location.pathname}#${step.id}`);
  }
  if (key) {
    if (current.shown.reveal) current.shown.reveal(key);
    focusField(controls, key);
  }
}

function frame() {
  document
    .getElementById("steps")
    .append(
      ...STEPS.map((step, n) => button(`${n + 1} ${step.title}`, () => go(step.id), {"data-step": step.id})),
    );
  const undo = document.getElementById("undo"),
    redo = document.getElementById("redo");
  undo.addEventListener("click", () => desk.undo());
  redo.addEventListener("click", () => desk.redo());
  document.addEventListener("keydown", (event) => {
    if (
      !(event.ctrlKey || event.metaKey) ||
      event.target.matches("input:not([type=checkbox]):not([type=range]), textarea")
    )
      return;
    const key = event.key.toLowerCase();
    if (key === "z" && !event.shiftKey) {
      event.preventDefault();
      desk.undo();
    }
    if (key === "y" || (key === "z" && event.shiftKey)) {
      event.preventDefault();
      desk.redo();
    }
  });
  desk.on("state", () => {
    const {state} = desk,
      name = (state.values && state.values.object && state.values.object.name) || "a new thing";
    document.getElementById("name").textContent = `Holder for: ${name}`;
    document.title = `Holder for: ${name}`;
    document.getElementById("saved").textContent = state.readable
      ? `Saved in ${state.file}${state.notice ? `; ${state.notice}` : ""}`
      : `${state.file} cannot be read`;
    for (const [element, label, word] of [
      [undo, state.undo, "Undo"],
      [redo, state.redo, "Redo"],
    ]) {
      element.disabled = !label;
      element.title = label ? `${word}: ${label}` : `Nothing to ${word.toLowerCase()}`;
      element.setAttribute("aria-label", element.title);
    }
    if (!state.readable)
      say(
        state.problems.map(
          (p) =>
            `${state.file}${p.line ? `, line ${p.line}` : ""}: ${p.words} Correct it in your editor; the page follows by itself.`,
        ),
      );
  });
  desk.on("trouble", (event) => say(event.detail));
  desk.on("progress", progress);
}

function say(lines) {
  document.getElementById("trouble").replaceChildren(...lines.map((line) => h("p", {}, line)));
}

function progress() {
  const {step, building} = desk.progress,
    work = document.getElementById("work");
  if (!step && !building) {
    work.replaceChildren();
    return;
  }
  work.replaceChildren(
    h("span", {class: "at-work"}, `${step || "building the holder"} …`),
    building || step ? button("Stop", () => desk.post("/stop", {})) : "",
  );
}

frame();
desk.open().then(() => {
  const wanted = location.hash.slice(1);
  const sections = (desk.state.values && desk.state.values.section) || [];
  go(wanted || (desk.state.sound ? "holder" : sections.length ? "measure" : "outline"));
  window.addEventListener("hashchange", () => go(location.hash.slice(1)));
});
