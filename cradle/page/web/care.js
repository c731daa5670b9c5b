// What is advised and what to beware of. Each element changes only with the holder: what was unfolded stays so.
import {button, h} from "./dom.js";
import {fieldOf, wayToBegin, waysOf} from "./places.js";

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

// What is advised of a holder is not that of a project which lacks something, or of which none can be made: nothing is
// advised then.
function advised(desk, made) {
  const {element, follow} = following(desk, made);
  return {
    element,
    follow() {
      follow();
      const {holder, state} = desk;
      element.hidden = !state.sound || (holder.revision === state.revision && holder.problems?.length > 0);
    },
  };
}

// The verdict, and what it rests on: each doubt with its place, what it is, what helps and the way there, the gravest
// first. `show` points at a place of the holder.
export function verdictOf(context, show) {
  return advised(context.desk, ({verdict}) => [
    h(
      "div",
      {class: `verdict ${verdict.kind}`},
      h("strong", {}, verdict.advised),
      h("p", {class: "odds"}, verdict.odds),
      verdict.points.length
        ? h("ul", {class: "points"}, verdict.points.map((one) => point(one, context, show)))
        : h("p", {}, verdict.reason, " ", wayToBegin(context, verdict)),
    ),
  ]);
}

function point(one, context, show) {
  const field = one.own ? fieldOf(context.desk, one.where) : null,
    place = field ? one.place.replace(one.where, field.words) : one.place;
  return h(
    "li",
    {class: one.severity},
    one.severity === "fail" ? h("strong", {}, "Do not print: ") : null,
    place ? h("b", {}, `${place}: `) : null,
    `${one.message} `,
    one.advice ? h("em", {}, one.advice) : null,
    waysOf(context, one, show),
  );
}

// What to do, in its order: first what the verdict lists, then what has a button here.
export function stepsOf({desk, go}) {
  return advised(desk, (holder) => {
    const steps = [...holder.verdict.first, ...actions(holder, go)];
    if (!steps.length) return [];
    return [h("h3", {}, "What to do"), h("ol", {class: "to-do"}, steps.map((one) => h("li", {}, one)))];
  });
}

function actions(holder, go) {
  const to = (words, place) => button(words, () => go("fit", place), {class: "plain"});
  const print = [
    ["Print the holder as it lies in its file. ", to("Go to the files", "files")],
    ["When it is cold, check its sizes with calipers before the thing goes near it: the PDF lists them."],
  ];
  const attempt = [
    ["Print the test pieces, or one ring at first. ", to("Go to test pieces", "pieces")],
    ["Try each on the thing and note how it went. The next holder learns from it. ", to("Go to trials", "trials")],
  ]; // prettier-ignore
  const then = [["Print the holder when its verdict says so, or when what it still warns of does not matter to you."]];
  const decide = [
    ["Print the holder if you can live with what it still warns of. ", to("Go to the files", "files")],
  ];
  return {print, test_pieces: [...attempt, ...then], decide}[holder.verdict.kind] ?? [];
}

// The cautions, the first few at once.
export function cautionsOf(desk, {folded = false} = {}) {
  return following(desk, ({cautions}) => {
    if (!cautions.length) return [];
    const list = (some) =>
      h("ul", {}, some.map((words) => h("li", {}, words)));
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
