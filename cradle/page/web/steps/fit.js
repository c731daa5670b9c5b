// Fit: the clearance with its chance at once, what to do, test pieces, trials, and the files to take away.
import {cautionsOf, stepsOf, verdictOf} from "../care.js";
import {curvePlot, glance} from "../chance.js";
import {h, short} from "../dom.js";
import {Field} from "../field.js";
import {tableForm} from "../fields.js";
import {holderFiles, pieceFiles} from "../files.js";
import {holderView} from "../holder_view.js";
import {small} from "../layout.js";
import {missingList} from "../missing.js";
import {trials} from "../trials.js";

const MOST_MM = 1.2;

export const fit = {
  id: "fit",
  title: "Fit",
  show(context) {
    const {desk, controls} = context,
      {schema} = desk;
    const view = holderView(context),
      care = [verdictOf(context, view.point), stepsOf(context), cautionsOf(desk)],
      [verdict, toDo, cautions] = care,
      missing = h("div", {}),
      noted = trials(context),
      pieceMaker = pieceFiles(desk),
      holderMaker = holderFiles(desk);
    const chance = clearanceForm(desk),
      rest = tableForm(
        desk,
        "fit",
        schema.fit.fields.filter((f) => f.key !== "clearance").map((f) => ({...f, rare: true})),
        {more: "More about the fit"},
      ),
      pieces = tableForm(desk, "test_pieces", schema.test_pieces.fields, {
        more: "More about the test pieces",
      });
    controls.replaceChildren(
      h("h2", {}, "The fit"),
      missing,
      chance.element,
      rest.element,
      verdict.element,
      toDo.element,
      h("h2", {"data-key": "pieces", tabindex: "-1"}, "Test pieces"),
      small(
        "A thin ring at each measured height, for each clearance, and a paper check.",
        " Try them, or one ring at first, before the long print.",
      ),
      pieces.element,
      pieceMaker.element,
      noted.element,
      h("h2", {"data-key": "files", tabindex: "-1"}, "The holder to take away"),
      cautions.element,
      holderMaker.element,
    );

    function follow() {
      for (const one of [rest, pieces, chance, pieceMaker, holderMaker, ...care]) one.follow();
      missing.replaceChildren(...missingList(context));
    }

    const off = desk.on({state: follow, holder: follow});
    follow();
    return {
      leave() {
        for (const one of [view, noted]) one.leave();
        off();
      },
    };
  },
};

// The clearance as a slider and as a field; what it comes to is told while it moves.
function clearanceForm(desk) {
  const told = h("p", {class: "glance", role: "status"}),
    why = h("p", {class: "small"}),
    curve = h("div", {}),
    spec = desk.schema.fit.fields.find((f) => f.key === "clearance");
  let sliding = false; // what comes of a slider that is being moved is behind it
  const slider = h("input", {
    type: "range",
    min: 0,
    max: MOST_MM,
    step: 0.01,
    "aria-label": "clearance per side, mm",
    oninput: () => moved(slider.value, true),
    onchange: () => field.send(slider.value),
    onblur: () => (sliding = false),
  });
  const field = new Field(desk, "fit.clearance", spec, {
    label: "Clearance per side",
    step: 0.01,
    moved: (value) => moved(value),
    also: keepBetween,
  });

  // Beside a clearance of one's own nothing said of the gap between sections means none: what was chosen there stays.
  function keepBetween() {
    const chosen = ["fit.clearance", "fit.between"].every((key) => (desk.value(key) || "auto") === "auto");
    return chosen ? [{do: "set", key: "fit.between", value: "auto"}] : [];
  }

  function now() {
    const said = desk.value("fit.clearance");
    if (typeof said === "number") return said;
    return desk.holder.taken ? desk.holder.taken["fit.clearance"] : NaN;
  }

  function moved(value, bySlider) {
    const clearance = Number(value),
      known = glance(desk.holder, clearance);
    slider.hidden = Number.isNaN(clearance); // "auto", and no holder yet that tells what it comes to
    if (bySlider) {
      sliding = true;
      field.input.value = short(clearance);
    } else if (!Number.isNaN(clearance) && !sliding) {
      slider.max = Math.max(MOST_MM, Math.ceil(2 * clearance) / 2);
      slider.value = clearance;
    }
    told.textContent = known ? known.words : "The chance of fit is told here once there is a holder.";
    why.textContent = known ? known.why : "";
    curve.replaceChildren(known ? curvePlot(desk.holder, clearance) : "");
  }

  return {
    element: h(
      "div",
      {},
      h("div", {class: "fields"}, field.element),
      h("div", {class: "field wide"}, slider),
      told,
      why,
      curve,
    ),
    follow() {
      field.follow();
      moved(now());
    },
  };
}
