// Stack: where the sections lie, from above and from the side, how surely, and which reading decides it.
import {h, short} from "../dom.js";
import {tableForm} from "../fields.js";
import {sectionFindings} from "../findings.js";
import {heightsPlot} from "../heights_plot.js";
import {group, small} from "../layout.js";
import {above} from "../lie.js";
import {missingList} from "../missing.js";
import {fromBottom, nameOf, numberIn, readOf} from "../sections.js";
import {solidView} from "../solid.js";

const PLACED_BY_HAND = ["shift", "turn"];

export const stack = {
  id: "stack",
  title: "Stack",
  show(context) {
    const {desk, controls, view, go} = context,
      {schema} = desk,
      list = h("div", {}),
      missing = h("div", {}),
      found = h("div", {}),
      loft = tableForm(desk, "loft", schema.loft.fields),
      pictures = pictured(context, (number) => choose(number));
    let chosen = null,
      cards = [],
      signature = "";
    view.replaceChildren(pictures.element);
    controls.replaceChildren(
      h("h2", {}, "Where the sections lie"),
      small(
        "All readings together say where each section lies, and how surely. Give a shift or a turn only where you",
        " measured it: it is taken as what it says.",
      ),
      missing,
      found,
      list,
      group(schema.loft.title, false, loft.element),
    );

    function build() {
      cards = fromBottom(desk).map(([one, number]) => card(desk, one, number, choose)).reverse();
      list.replaceChildren(...cards.map((one) => one.element));
      if (chosen > cards.length) chosen = null;
    }

    function choose(number) {
      if (chosen === number) return;
      chosen = number;
      mark();
    }

    function follow() {
      const now = JSON.stringify(fromBottom(desk).map(([one, number]) => [one.name, number]));
      if (now !== signature) {
        signature = now;
        build();
      } else cards.forEach((one) => one.form.follow());
      loft.follow();
      missing.replaceChildren(...missingList(context));
      tell();
    }

    function tell() {
      if (chosen === null) chosen = highest(desk);
      for (const one of cards) one.tell();
      found.replaceChildren(...sectionFindings(desk, go));
      mark();
    }

    function mark() {
      for (const one of cards) one.element.classList.toggle("chosen", one.number === chosen);
      pictures.draw(chosen);
    }

    const off = desk.on({state: follow, sections: tell});
    follow();
    return {
      leave() {
        pictures.leave();
        off();
      },
      reveal(key) {
        const number = numberIn(key);
        if (number) choose(number);
      },
    };
  },
};

// The number of the highest section that is placed.
function highest(desk) {
  const placed = desk.sections.sections.filter((one) => one.placed);
  return placed.length ? placed[placed.length - 1].number : null;
}

// A section's shift and turn, and how surely it is placed.
function card(desk, section, number, choose) {
  const name = nameOf(section, number),
    fields = desk.schema.section.fields.filter((f) => PLACED_BY_HAND.includes(f.key)),
    form = tableForm(desk, `section[${number}]`, fields, {open: PLACED_BY_HAND, of: name}),
    sure = h("p", {class: "small"});
  const pick = () => choose(number),
    element = h(
      "div",
      {class: "card", onfocusin: pick, onpointerdown: pick},
      h("h3", {}, name),
      form.element,
      sure,
    );
  return {
    element,
    form,
    number,
    tell() {
      const one = readOf(desk, number);
      sure.textContent = !(one && one.placed)
        ? notPlaced(desk, number)
        : shiftedAlone(desk, number)
          ? movesAll(one.placed)
          : placedWords(one.placed, name);
    },
  };
}

function notPlaced(desk, number) {
  if (desk.sections.revision < desk.state.revision) return "Being placed …";
  const height = desk.value(`section[${number}].height`);
  return height === undefined ? "Not placed yet: it needs a height." : "It could not be placed: see Measure.";
}

// Whether this section's shift is the only one: then it says where the whole thing lies, and nothing of this section.
function shiftedAlone(desk, number) {
  const told = (desk.sections.findings || []).some((one) => one.code === "shift-alone");
  return told && desk.value(`section[${number}].shift`) !== undefined;
}

function movesAll({turn_spread: turn}) {
  return (
    "Its shift alone says where the whole thing lies, not where this section lies beside the others. " +
    `Sure to ${short(turn, 1)}° of turn.`
  );
}

const BY = {
  given: "as given",
  profiles: "by the profiles of its sides",
  views: "by the views of its sides",
  "profiles, views": "by the profiles and views of its sides",
  mirror: "by mirror lines",
  match: "by likeness to its neighbours",
  drawing: "as drawn",
};
const READINGS = {
  "mirror place x": "mirror line",
  "mirror place y": "mirror line",
  "mirror turn": "lean of the mirror line",
  turn: "turn of the sheet as it lay",
  "shift x": "shift as given or drawn",
  "shift y": "shift as given or drawn",
  "likeness x": "being in line with the section below", // as outlines alike or sides that run straight have it
  "likeness y": "being in line with the section below",
  "likeness turn": "likeness to the section below",
  "scale of the axes": "scale one way and the other",
  front: "profile or view of the front",
  back: "profile or view of the back",
  left: "profile or view of the left side",
  right: "profile or view of the right side",
};
const OF_ALL = {
  "mirror plane": "the mirror plane of the whole thing",
  calipers: "the calipers' own error",
  "tilt of the view": "how far the view is tilted",
  "lean along x": "how far things commonly lean",
  "lean along y": "how far things commonly lean",
};

function placedWords({by, spread, turn_spread: turn, decides: [x, y]}, name) {
  const named = ({reading, section}) => {
    const words = READINGS[reading] || reading,
      below = words.endsWith("the section below");
    if (OF_ALL[reading]) return OF_ALL[reading];
    if (section === name) return `${below ? "its" : "the"} ${words}`;
    return below ? `${section}’s ${words.replace("the section", "the one")} it` : `the ${words} of ${section}`;
  };
  const decided = (way, readings) => {
    const said = readings.map((one) => `${named(one)} (${Math.round(100 * one.share)}\u00a0%)`);
    return said.length ? `${way} it hangs on ${said.join(", ")}.` : "";
  };
  return [
    `Placed ${BY[by] || by}: sure to ${short(spread[0])} mm left to right, ${short(spread[1])} mm front to back,`,
    `${short(turn, 1)}° of turn.`,
    decided("Left to right", x),
    decided("Front to back", y),
  ].join(" ");
}

// From above, from the front, from the right, and the body as it is modelled now.
function pictured({desk}, choose) {
  const plots = h("div", {class: "pair"}),
    body = solidView({plain: true, label: "3-D view of the thing as modelled"}),
    waits = h("p", {class: "small", role: "status"}),
    element = h("div", {}, waits, plots);
  let map = null;

  function draw(chosen) {
    const placed = desk.sections.sections.filter((one) => one.placed);
    const behind = desk.sections.revision < desk.state.revision;
    waits.hidden = placed.length > 0 && !behind;
    waits.textContent = behind
      ? "The sections are being placed anew …"
      : (desk.sections.problems || []).length
        ? "The sections could not be placed: Measure says why."
        : "The sections appear here once they have heights and outlines.";
    plots.hidden = !placed.length;
    if (!placed.length || (map && map.busy())) return;
    const profiles = desk.sections.side || {},
      sides = [0, 1].map((axis) => heightsPlot(placed, profiles, axis, chosen)),
      onmoved = (section, shift) => sides.forEach((side) => side.move(section, shift)),
      held = map && map.focused();
    map = above({desk}, placed, chosen, {choose, onmoved, freed: () => draw(chosen)});
    const caption = h(
      "figcaption",
      {},
      "The thing as modelled between the sections, across hollows or into them as “Hollows” says; it follows a moment later.",
    );
    plots.replaceChildren(
      map.element,
      h("figure", {}, body.element, caption),
      ...sides.map((one) => one.element),
    );
    if (held) map.focus();
  }

  function show() {
    const {thing} = desk.parts.body || desk.model || {};
    if (thing) body.show({thing});
  }

  function leave() {
    body.leave();
    off();
  }

  const off = desk.on({part: show});
  show();
  return {element, draw, leave};
}
