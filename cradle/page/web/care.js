// What is advised and what to beware of. Each element changes only with the holder: what was unfolded stays so.
import {button, h, sentence} from "./dom.js";
import {waysOf} from "./places.js";

const FIRST = 4;

function following(desk, made) {
  const element = h("div", {});
  let shown = null;
  return {
    element,
    follow() {
      if (desk.holder === shown) return;
      shown = desk.holder;
      element.replaceChildren(...(shown.stage === "done" ? made(shown) : []));
    },
  };
}

// The verdict and its reason.
export function verdictOf(desk) {
  return following(desk, ({verdict}) => [
    h(
      "div",
      {class: `verdict ${verdict.kind}`},
      h("strong", {}, verdict.advised),
      h("p", {}, verdict.reason),
    ),
  ]);
}

// What to do, in its order: what the findings advise, each with the way to its field, then what has a button here.
export function stepsOf({desk, go}) {
  return following(desk, (holder) => [
    h("h3", {}, "What to do"),
    h("ol", {class: "to-do"}, [...remedies(holder, desk, go), ...actions(holder, go)].map((one) => h("li", {}, one))),
  ]); // prettier-ignore
}

function remedies(holder, desk, go) {
  const seen = new Set();
  return holder.findings
    .filter((f) => f.severity !== "note" && f.advice && !seen.has(f.advice) && seen.add(f.advice))
    .map((f) => {
      const ways = waysOf(desk, f).map((to) =>
        button(`Go to ${to.words}`, () => go(to.step, to.key), {class: "plain"}),
      );
      return [h("span", {}, sentence(f.advice), " "), ...ways];
    });
}

function actions(holder, go) {
  const to = (words, place) => button(words, () => go("fit", place), {class: "plain"});
  const print = [
    ["Print the holder as it lies in its file. ", to("Go to the files", "files")],
    ["When it is cold, check its sizes with calipers before the thing goes near it: the PDF lists them."],
  ];
  const attempt = [
    ["Print the test pieces. They take little filament. ", to("Go to test pieces", "pieces")],
    ["Try each on the thing and note how it went. The next holder learns from it. ", to("Go to trials", "trials")],
  ]; // prettier-ignore
  const then = [["Print the holder when its verdict says so, or when what it still warns of does not matter to you."]];
  return {print, test_pieces: [...attempt, ...then], stop: []}[holder.verdict.kind];
}

// The cautions, the first few at once.
export function cautionsOf(desk, {folded = false} = {}) {
  return following(desk, ({cautions}) => {
    if (!cautions.length) return [];
    const list = (some) =>
      h(
        "ul",
        {},
        some.map((words) => h("li", {}, words)),
      );
    if (folded)
      return [
        h(
          "details",
          {class: "cautions"},
          h("summary", {}, `Take care: ${cautions.length} cautions`),
          list(cautions),
        ),
      ];
    const more = cautions.slice(FIRST);
    return [
      h(
        "section",
        {class: "cautions", "aria-label": "Take care"},
        h("h3", {}, "Take care"),
        list(cautions.slice(0, FIRST)),
        more.length ? h("details", {}, h("summary", {}, `${more.length} more cautions`), list(more)) : null,
      ),
    ];
  });
}
