// The scale of a picture by two points of a ruler and the distance between them.
import {button, h} from "./dom.js";
import {row} from "./layout.js";

const OWN_SCALE = ["scale", "mm_per_px", "dpi", "from", "to", "apart"];
const USUAL = [
  ["150", "the sheet's long line"],
  ["85.6", "long side of a bank card, corner to corner"],
  ["53.98", "its short side"],
];

// As {element, press(place), ends(picture)}; "change" saves steps under a label, "picture" is what the project says of it.
export function ruler({key, name, picture, change, moved}) {
  let ends = [];
  const apart = h("input", {type: "text", inputmode: "decimal", size: 7, id: "apart-mm", onkeydown: entered}),
    error = h("p", {class: "error", role: "alert"}),
    hint = h("p", {class: "small", role: "status"}, "Press two marks of the ruler that are far apart.");
  const usual = USUAL.map(
    ([mm, words]) =>
    button(`${mm}: ${words}`, () => {
      apart.value = mm;
    }, {class: "plain"}), // prettier-ignore
  );
  const given = () => OWN_SCALE.some((one) => picture()[one] !== undefined),
    clear = (names) => names.map((one) => ({do: "set", key: key(one), value: ""}));
  const set = (one, value) => ({do: "set", key: key(one), value});

  function entered(event) {
    if (event.key === "Enter") use();
  }

  async function use() {
    if (ends.length < 2) {
      error.textContent = "Press two points of the ruler in the picture first.";
      return;
    }
    if (!apart.value.trim()) {
      error.textContent = "Give the distance between them.";
      apart.focus();
      return;
    }
    const [from, to] = ends.map((p) => p.map((v) => v.toFixed(1)).join(" ")),
      steps = [...clear(OWN_SCALE.slice(0, 3)), set("from", from), set("to", to), set("apart", apart.value)];
    await change(steps, `scale of ${name} by two points`);
  }

  async function forget() {
    const own = ends.length || given();
    ends = [];
    const answer = given() ? await change(clear(OWN_SCALE), `scale of ${name} as found`) : {ok: true};
    if (answer.ok)
      hint.textContent = own
        ? "The scale found in the picture is used. Or press two marks of a ruler."
        : "The scale found in the picture is used already: none is given by hand.";
    moved();
  }

  const unit = h("span", {class: "unit"}, " mm"),
    element = h(
      "div",
      {class: "card"},
      hint,
      h("div", {class: "field"}, h("label", {for: "apart-mm"}, "Distance between them", unit), apart),
      row(usual),
      row(button("Use this scale", use, {class: "first"}), button("Use what is found instead", forget)),
      error,
    );
  return {
    element,
    press(place) {
      ends = ends.length >= 2 ? [place] : [...ends, place];
      hint.textContent =
        ends.length === 1 ? "Now the second mark." : "Now give their distance and press “Use this scale”.";
      if (ends.length === 2) apart.focus();
      moved();
    },
    ends(picture) {
      if (ends.length) return ends;
      return picture.from && picture.to ? [picture.from, picture.to] : [];
    },
    again() {
      ends = [];
    },
  };
}
