// Measure: each section's name, height and readings, with the residual at once; plain shapes; profiles and views.
import {howToBegin} from "../begin.js";
import {button, h} from "../dom.js";
import {formsTogether} from "../fields.js";
import {sectionFindings} from "../findings.js";
import {row, small} from "../layout.js";
import {leaningForm} from "../leaning.js";
import {missingList} from "../missing.js";
import {addPlain} from "../new_section.js";
import {sectionCard} from "../section_card.js";
import {sectionFigure} from "../section_plot.js";
import {fromBottom, numberIn, readOf, sections} from "../sections.js";

const SOURCES = ["measured", "picture", "outline"];

export const measure = {
  id: "measure",
  title: "Measure",
  show(context) {
    const {desk, controls, go} = context,
      list = h("div", {}),
      sides = h("div", {}),
      missing = h("div", {});
    let signature = "",
      forms = formsTogether(),
      cards = [],
      chosen = null;
    controls.replaceChildren(
      h("h2", {}, "Measure the thing"),
      small(
        "Unplug it, let it cool, empty it, and tape or sheath a blade first. All heights count from the plate it",
        " stands on. Width runs left to right, depth front to back, both the largest at that height.",
      ),
      list,
      row(
        button("Add a plain shape", () => addPlain(context)),
        button("Add a picture or drawing", () => go("outline")),
      ),
      missing,
      sides,
    );

    function build() {
      forms = formsTogether();
      const {add} = forms;
      cards = sections(desk).map((one, n) => sectionCard(context, one, n + 1, {add, onchoose: choose}));
      list.replaceChildren(...(cards.length ? cards.map((card) => card.element) : [h("p", {}, NONE)]));
      sides.replaceChildren(leaningForm(context, add));
      if (!cards[chosen - 1]) [[, chosen] = []] = fromBottom(desk);
      mark();
    }

    // From bottom to top: the others move round the card that somebody types in, so that it keeps the focus.
    function arrange() {
      const all = fromBottom(desk).map(([, number]) => cards[number - 1].element),
        held = all.find((one) => one.contains(document.activeElement)) || all[0],
        place = all.indexOf(held);
      if (all.every((one, n) => one === list.children[n])) return;
      held.before(...all.slice(0, place));
      held.after(...all.slice(place + 1));
    }

    function mark() {
      for (const card of cards) card.element.classList.toggle("chosen", card.number === chosen);
    }

    function choose(number) {
      if (chosen === number) return;
      chosen = number;
      mark();
      draw(context, chosen);
    }

    function follow() {
      const now = shapeOf(desk),
        typing = list.contains(document.activeElement) && sameShape(signature, now);
      if (now !== signature && !typing) {
        signature = now;
        build();
      } else forms.follow();
      arrange();
      missing.replaceChildren(...missingList(context));
      tell();
    }

    function tell() {
      cards.forEach((card) => card.tell());
      draw(context, chosen);
    }

    const off = desk.on({state: follow, sections: tell});
    follow();
    return {
      leave: off,
      reveal(key) {
        const number = numberIn(key);
        if (number) choose(number);
      },
    };
  },
};

const NONE =
  "There are no sections yet. A section is the outline of the thing at one height. At least two are needed.";

// What the forms depend on, as text.
function shapeOf(desk) {
  const shapes = sections(desk).map((one) => [
      one.name,
      Object.keys(one).filter((key) => SOURCES.includes(key)),
      one.picture && one.picture.file,
    ]),
    views = (desk.value("view") || []).map((one) => [one.from, Boolean(one.picture)]);
  return JSON.stringify([shapes, views, desk.state.readable]);
}

// Whether only names differ: then the form stays, for somebody is typing in it.
function sameShape(before, now) {
  const bare = (text) => {
    const [shapes, ...others] = JSON.parse(text);
    return JSON.stringify([shapes.map((one) => one.slice(1)), others]);
  };
  return before !== "" && bare(before) === bare(now);
}

// The chosen section, and what was found about all of them.
function draw({desk, view, found}, chosen) {
  const waiting = () =>
    sections(desk).length
      ? small("The section that you are measuring is drawn here.")
      : howToBegin();
  view.replaceChildren(sectionFigure(readOf(desk, chosen)) || waiting());
  found.replaceChildren(
    ...(desk.sections.problems || []).map((p) =>
      h("p", {class: "error"}, `${p.where ? `${p.where}: ` : ""}${p.words}`),
    ),
    ...sectionFindings(desk),
  );
}
