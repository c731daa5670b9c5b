// Where the 3-D view is cut open: along a plane that is chosen by its side, moved by a slider and told in mm.
import {h, short, toggle} from "./dom.js";

// The axis, which side stays, from where the cut is looked at, and where the cut is told from.
const CUTS = {
  height: {words: "at a height", axis: 2, keep: "below", turn: 28, rise: 52, told: "above the bed"},
  front: {words: "from the front", axis: 1, keep: "above", turn: 18, rise: 16, told: "behind its front"},
  right: {words: "from the right", axis: 0, keep: "below", turn: -72, rise: 16, told: "from its right side"},
};

// As {element, plane(), whole(), tell()}: the plane as it is painted, null where nothing is cut; the names of what it
// leaves whole; and the words for it brought up to date. "box" tells the box of all that is shown; "changed" is told of
// every change, with {turn, rise} where it is to be looked at from there.
export function cutting({box, changed}) {
  let cut = null,
    share = 0.5,
    thingToo = true;
  const told = h("output", {class: "small"}),
    slider = h("input", {type: "range", min: 0, max: 100, value: 50, "aria-label": "where it is cut open", oninput: slid}),
    both = toggle("Cut the thing too", () => thingToo, (is) => {
      thingToo = is;
      changed({});
    }), // prettier-ignore
    chooser = h(
      "select",
      {onchange: chosen},
      h("option", {value: ""}, "no"),
      Object.entries(CUTS).map(([name, {words}]) => h("option", {value: name}, words)),
    );

  function slid() {
    share = slider.value / 100;
    tell();
    changed({});
  }

  function chosen() {
    cut = chooser.value || null;
    tell();
    changed(cut ? {turn: CUTS[cut].turn, rise: CUTS[cut].rise} : {});
  }

  function plane() {
    if (!cut) return null;
    const {axis, keep} = CUTS[cut],
      [low, high] = ends(axis),
      far = (high - low) * share;
    return {axis, keep, at: cut === "right" ? high - far : low + far};
  }

  const ends = (axis) => box().map((end) => end[axis]);

  function tell() {
    slider.hidden = both.hidden = !cut;
    if (!cut) {
      told.textContent = "";
      return;
    }
    const {at, axis} = plane(),
      [low, high] = ends(axis),
      mm = {height: at, front: at - low, right: high - at}[cut];
    told.textContent = `${short(mm, 1)} mm ${CUTS[cut].told}`;
  }

  tell();
  return {
    element: h("div", {class: "row cutting"}, h("label", {}, "Cut open: ", chooser), slider, told, both),
    plane,
    whole: () => (thingToo ? [] : ["thing"]),
    tell,
  };
}
