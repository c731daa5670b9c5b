// Fit: the clearance with its chance at once, test pieces, trials, and the files to take away.
import {button, h, short} from "../dom.js";
import {Field, tableForm} from "../fields.js";
import {curvePlot, glance} from "../chance.js";
import {careOf, holderView} from "../holder_view.js";
import {trials} from "../trials.js";

const SLIDER_MOST = 1.2;

export const fit = {
  id: "fit",
  title: "Fit",
  show(context) {
    const {desk, controls} = context,
      {schema} = desk;
    const view = holderView(context),
      care = careOf(desk),
      told = h("p", {class: "glance", role: "status"}),
      why = h("p", {class: "small"}),
      curve = h("div", {});
    const spec = schema.fit.fields.find((f) => f.key === "clearance");
    const slider = h("input", {
      type: "range",
      min: 0,
      max: SLIDER_MOST,
      step: 0.01,
      "aria-label": "clearance per side, mm",
      oninput: () => moved(slider.value, true),
      onchange: () => desk.set("fit.clearance", slider.value, "clearance"),
    });
    const field = new Field(desk, "fit.clearance", spec, {
      label: "Clearance per side",
      step: 0.01,
      moved: (value) => moved(value),
    });
    const rest = tableForm(
      desk,
      "fit",
      schema.fit.fields.filter((f) => f.key !== "clearance").map((f) => ({...f, rare: true})),
      {more: "More about the fit"},
    );
    const pieces = tableForm(desk, "test_pieces", schema.test_pieces.fields, {
      more: "More about the test pieces",
    });
    const noted = trials(context);
    controls.replaceChildren(
      h("h2", {}, "The fit"),
      care.element,
      h("div", {class: "field wide"}, slider),
      h("div", {class: "fields"}, field.element),
      told,
      why,
      curve,
      rest.element,
      h("h2", {}, "Test pieces"),
      h(
        "p",
        {class: "small"},
        "A thin ring at each measured height, for each clearance, and a paper check. They take little filament: try them before the long print.",
      ),
      pieces.element,
      makePieces(desk),
      noted.element,
      takeAway(desk),
    );

    function shown() {
      const said = desk.value("fit.clearance");
      return typeof said === "number" ? said : desk.holder.taken ? desk.holder.taken["fit.clearance"] : NaN;
    }

    function moved(value, bySlider) {
      const clearance = Number(value),
        now = glance(desk.holder, clearance);
      if (bySlider) field.input.value = short(clearance);
      else if (!Number.isNaN(clearance) && document.activeElement !== slider) slider.value = clearance;
      told.textContent = now ? now.words : "";
      why.textContent = now ? now.why : "";
      curve.replaceChildren(now ? curvePlot(desk.holder, clearance) : "");
    }

    function follow() {
      field.follow();
      rest.follow();
      pieces.follow();
      care.follow();
      moved(shown());
    }

    const off = [desk.on("state", follow), desk.on("holder", follow)];
    follow();
    return {
      leave() {
        view.leave();
        noted.leave();
        off.forEach((stop) => stop());
      },
    };
  },
};

// Buttons that write files, what came of it, and the files to fetch.
function maker(desk, words, address, data) {
  const said = h("p", {class: "small", role: "status"}),
    error = h("p", {class: "error", role: "alert"}),
    links = h("ul", {class: "small"});
  const press = button(
    words,
    async () => {
      press.disabled = true;
      error.textContent = "";
      said.textContent = "Writing …";
      const answer = await desk.post(address, data());
      press.disabled = false;
      said.textContent = answer.ok
        ? `Written to ${answer.body.folder}. Fetch them from here or open the folder:`
        : "";
      error.textContent = answer.problems.map((p) => p.words).join(" ");
      links.replaceChildren(
        ...(answer.ok
          ? answer.body.files.map((name) =>
              h("li", {}, h("a", {href: `/file/${encodeURIComponent(name)}`, download: name}, name)),
            )
          : []),
      );
    },
    {class: "first"},
  );
  return h("div", {}, h("div", {class: "row"}, press), said, error, links);
}

function makePieces(desk) {
  const paper = h(
    "select",
    {"aria-label": "paper"},
    ["A4", "Letter"].map((size) => h("option", {}, size)),
  );
  const usual = desk.schema.test_pieces.fields.find((f) => f.key === "clearances").default;
  return h(
    "div",
    {},
    h("div", {class: "row"}, h("label", {class: "small"}, "Paper ", paper)),
    maker(desk, "Make test pieces and paper checks", "/pieces", () => ({
      clearances: desk.value("test_pieces.clearances") || usual || [],
      paper: paper.value,
    })),
  );
}

function takeAway(desk) {
  return h(
    "div",
    {},
    h("h2", {}, "The holder to take away"),
    h(
      "p",
      {class: "small"},
      "STL and 3MF to print, a PDF for the workshop with the sizes to check, drawings, and the fit report. Read “Take care” above first.",
    ),
    maker(desk, "Make the holder’s files", "/files", () => ({})),
    h(
      "p",
      {},
      h("a", {class: "button", href: "/report", target: "_blank", rel: "noopener"}, "Open the fit report"),
    ),
  );
}
