// Trials: click the ring that was tried, say how it went; what the next holder changes.
import {button, h, sentence, short} from "./dom.js";

const SEEN = [
  ["no-go", "does not go in"],
  ["tight", "tight"],
  ["good", "good"],
  ["loose", "loose"],
];

export function trials({desk}) {
  const grid = h("div", {}),
    told = h("div", {}),
    error = h("p", {class: "error", role: "alert"}),
    ask = h("div", {});
  const element = h(
    "section",
    {"aria-label": "trials"},
    h("h2", {}, "Trials"),
    h(
      "p",
      {class: "small"},
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
      grid.replaceChildren(h("p", {class: "small"}, "Trials can be noted once nothing is missing."));
      told.replaceChildren();
      ask.replaceChildren();
      return;
    }
    const answer = await desk.get("/trials");
    if (!here || answer.status === 409) return;
    error.textContent = answer.problems.map((p) => p.words).join(" ");
    if (answer.ok) {
      data = answer.body;
      draw();
    }
  }

  function draw() {
    const tried = (section, clearance) =>
      data.trials
        .filter(
          (t) =>
            t.piece === "test-piece" && t.section === section && Math.abs(t.clearance - clearance) < 1e-6,
        )
        .map((t) => t.seen);
    const cell = (section, clearance) => {
      const seen = tried(section, clearance),
        mine = chosen && chosen.section === section && chosen.clearance === clearance;
      return h(
        "td",
        {},
        button(
          `${short(clearance)}${seen.length ? `: ${seen.join(", ")}` : ""}`,
          () => {
            chosen = {piece: "test-piece", section, clearance};
            draw();
          },
          {
            class: "ring",
            "aria-pressed": String(Boolean(mine)),
            "aria-label": `ring at ${section}, ${short(clearance)} mm per side${seen.length ? `, noted ${seen.join(", ")}` : ""}`,
          },
        ),
      );
    };
    grid.replaceChildren(
      h(
        "div",
        {class: "wide-table"},
        h(
          "table",
          {},
          h("caption", {}, "Test rings by section and clearance, mm per side"),
          h(
            "tbody",
            {},
            [...data.sections].reverse().map((section) =>
              h(
                "tr",
                {},
                h("th", {scope: "row"}, section),
                data.clearances.map((c) => cell(section, c)),
              ),
            ),
          ),
        ),
      ),
      button(
        "The holder itself",
        () => {
          chosen = {piece: "holder"};
          draw();
        },
        {"aria-pressed": String(Boolean(chosen && chosen.piece === "holder"))},
      ),
    );
    asking();
    results();
  }

  function asking() {
    if (!chosen) {
      ask.replaceChildren();
      return;
    }
    const side = h(
      "select",
      {"aria-label": "where it rubbed or was loose"},
      h("option", {value: ""}, "all round"),
      ["front", "back", "left", "right"].map((word) => h("option", {value: word}, `at the ${word}`)),
    );
    ask.replaceChildren(
      h(
        "div",
        {class: "card"},
        h(
          "h3",
          {},
          chosen.piece === "holder"
            ? "How did the holder fit?"
            : `How did the ring at ${chosen.section}, ${short(chosen.clearance)} mm, fit?`,
        ),
        h(
          "div",
          {class: "row"},
          side,
          SEEN.map(([seen, words]) => button(words, () => note({...chosen, seen, side: side.value}))),
          button(
            "Not now",
            () => {
              chosen = null;
              draw();
            },
            {class: "plain"},
          ),
        ),
      ),
    );
  }

  async function note(trial) {
    const answer = await desk.change("/trial", () => ({do: trial ? "note" : "take back", ...(trial || {})}));
    error.textContent = answer.problems.map((p) => p.words).join(" ");
    if (answer.ok) {
      chosen = null;
      data = {...data, ...answer.body};
      draw();
    }
  }

  function results() {
    const {trials: noted, changes, inside, findings} = data;
    const row = (t) =>
      h(
        "li",
        {},
        `${t.date}: ${t.seen ? `${t.piece === "holder" ? "the holder" : `ring at ${t.section}`}, ${short(t.clearance)} mm: ${t.seen}${t.side ? ` at the ${t.side}` : ""}` : `a reading: ${short(t.read)} where ${short(t.nominal)} was meant`}`,
      );
    const read = h("input", {
        type: "text",
        inputmode: "decimal",
        "aria-label": "what the calipers read, mm",
        size: 7,
      }),
      nominal = h("input", {
        type: "text",
        inputmode: "decimal",
        "aria-label": "what it should read, mm",
        size: 7,
      });
    told.replaceChildren(
      h(
        "details",
        {class: "group"},
        h("summary", {}, "Note a reading of a print instead"),
        h(
          "div",
          {class: "row"},
          h("label", {}, "reads ", read),
          h("label", {}, "should read ", nominal),
          button("Note it", () => note({read: read.value, nominal: nominal.value})),
        ),
      ),
      noted.length
        ? h(
            "div",
            {},
            h("ul", {}, noted.map(row)),
            button("Take the last one back", () => note(null)),
          )
        : h("p", {class: "small"}, "No trial is noted yet."),
      noted.length
        ? h(
            "table",
            {},
            h("caption", {}, "What changes in the next holder, mm per side"),
            h(
              "tbody",
              {},
              h(
                "tr",
                {},
                h("th", {scope: "row"}, "the printer’s inside error"),
                h("td", {}, `${short(inside[0], 3)} ± ${short(inside[1], 3)}`),
              ),
              changes.map(([name, , now]) =>
                h(
                  "tr",
                  {},
                  h("th", {scope: "row"}, `gap added at ${name}`),
                  h("td", {}, `${now >= 0 ? "+" : ""}${short(now, 3)}`),
                ),
              ),
            ),
          )
        : "",
      h(
        "ul",
        {class: "findings"},
        findings.map((words) => h("li", {class: "warn"}, sentence(words))),
      ),
    );
  }

  const off = desk.on("state", load);
  load();
  return {
    element,
    leave() {
      here = false;
      off();
    },
  };
}
