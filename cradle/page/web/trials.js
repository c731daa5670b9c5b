// Trials: click the ring that was tried, say how it went; what the next holder changes.
import {button, exact, h, reasons, redrawn} from "./dom.js";
import {row, small} from "./layout.js";
import {ringWords, trialResults} from "./trial_results.js";

const SEEN = [
  ["no-go", "no-go: does not go in"],
  ["tight", "tight"],
  ["good", "good"],
  ["loose", "loose"],
];

const SIDES = ["front", "back", "left", "right"];

export function trials({desk}) {
  const grid = h("div", {}),
    told = h("div", {}),
    error = h("p", {class: "error", role: "alert"}),
    ask = h("div", {}),
    heading = h("h2", {"data-key": "trials", tabindex: "-1"}, "Trials");
  const element = h(
    "section",
    {"aria-label": "trials"},
    heading,
    small(
      "Press the ring that you tried on the thing, then say how it went. The next holder learns from it.",
    ),
    grid,
    ask,
    error,
    told,
  );
  let data = null,
    chosen = null,
    here = true;

  async function load() {
    if (!desk.state.sound) {
      grid.replaceChildren(small("Trials can be noted once nothing is missing."));
      told.replaceChildren();
      ask.replaceChildren();
      return;
    }
    if (!data) grid.replaceChildren(small("Looking which rings there are …"));
    const answer = await desk.get("/trials");
    if (!here || answer.status === 409) return;
    error.textContent = reasons(answer.problems);
    if (answer.ok) {
      data = answer.body;
      draw();
    }
  }

  function draw() {
    const held = element.contains(document.activeElement);
    redrawn(element, () => {
      grid.replaceChildren(
        rings(),
        ...data.idle.map((words) => small(words)),
        button("The holder itself", chooseHolder, holderPressed()),
      );
      ask.replaceChildren(...(chosen ? [question()] : []));
      told.replaceChildren(...trialResults(data, note));
    });
    if (held && !element.contains(document.activeElement)) heading.focus({preventScroll: true});
  }

  function choose(piece) {
    chosen = piece;
    draw();
  }

  // Its files may have been made since the trials were looked at.
  function chooseHolder() {
    choose({piece: "holder"});
    load();
  }

  // The question is put away, and what asked it has the focus again.
  function putAway() {
    const asked = element.querySelector('[aria-pressed="true"]')?.dataset.focus;
    choose(null);
    const back = [...element.querySelectorAll("button")].find((one) => asked && one.dataset.focus === asked);
    if (back) back.focus({preventScroll: true});
  }

  const holderPressed = () => ({
    "aria-pressed": String(Boolean(chosen && chosen.piece === "holder")),
    "data-focus": "the holder",
  });

  function rings() {
    const line = (place) =>
      h(
        "tr",
        {},
        h("th", {scope: "row"}, place.name),
        data.clearances.map((clearance) => h("td", {}, ring(place, clearance))),
      );
    return h(
      "div",
      {class: "wide-table rings", tabindex: "0", role: "region", "aria-label": "test rings"},
      h(
        "table",
        {},
        h("caption", {}, "Test rings by place and clearance, mm per side"),
        h("tbody", {}, [...data.places].reverse().map(line)),
      ),
    );
  }

  function ring({name, section, height}, clearance) {
    const same = (ofSection, atHeight, made) =>
        ofSection === section && atHeight === height && Math.abs(made - clearance) < 1e-6,
      tried = (t) => t.piece === "test-piece" && same(t.section, t.height_mm, t.clearance_mm),
      seen = data.trials.filter(tried).map((t) => t.seen),
      noted = seen.length ? `, noted ${seen.join(", ")}` : "",
      words = `${exact(clearance)}${seen.length ? `: ${seen.join(", ")}` : ""}`;
    return button(words, () => choose({piece: "test-piece", section, height, clearance}), {
      class: "ring",
      "aria-pressed": String(Boolean(chosen && same(chosen.section, chosen.height, chosen.clearance))),
      "aria-label": `${ringWords({section, height})}, ${exact(clearance)} mm per side${noted}`,
      "data-focus": `ring ${name} ${clearance}`,
    });
  }

  function question() {
    const options = SIDES.map((word) => h("option", {value: word}, `at the ${word}`)),
      name = {"aria-label": "where it rubbed or was loose"},
      side = h("select", name, h("option", {value: ""}, "all round"), options),
      answer = ([seen, words]) => button(words, () => note({...chosen, seen, side: side.value})),
      piece =
        chosen.piece === "holder"
          ? "the holder"
          : `the ${ringWords(chosen)}, ${exact(chosen.clearance)} mm,`;
    return h(
      "div",
      {class: "card"},
      h("h3", {}, `How did ${piece} fit?`),
      chosen.piece === "holder"
        ? [holderWords(data.printed), ...otherWords(data.others)].map((words) => small(words))
        : null,
      row(side, SEEN.map(answer), button("Not now", putAway, {class: "plain"})),
    );
  }

  // A trial noted; without one the last is undone.
  async function note(trial) {
    const answer = await desk.change("/trial", () => ({do: trial ? "note" : "take back", ...(trial || {})}));
    error.textContent = reasons(answer.problems);
    if (!answer.ok) return;
    data = {...data, ...answer.body};
    if (chosen) putAway();
    else draw();
  }

  const off = desk.on({state: load});
  load();
  return {
    element,
    leave() {
      here = false;
      off();
    },
  };
}

// A trial tells of one thing's shape; each other thing in the holder has a project of its own.
function otherWords(noting) {
  if (!noting.length) return [];
  const commands = noting.map((one) => `“${one}”`).join(", ");
  return [`It tells of this project's thing, and of the printer for all. How others went in: ${commands}.`];
}

// Which holder is meant: the one whose files were made last, if they were.
function holderWords(printed) {
  return printed === null
    ? "Its files were not made here: it is taken to be as it would be made now."
    : `The one whose files were made last, with ${exact(printed)} mm per side.`;
}
