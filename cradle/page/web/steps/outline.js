// Outline: pictures and drawings become sections.
import {adjust, onPlot} from "../adjust.js";
import {howToBegin} from "../begin.js";
import {button, h} from "../dom.js";
import {tableForm} from "../fields.js";
import {handOver} from "../hand_over.js";
import {row, small} from "../layout.js";
import {missingList} from "../missing.js";
import {takenAs} from "../new_section.js";
import {pictureStep} from "../picture_step.js";
import {sectionFigure} from "../section_plot.js";
import {fromBottom, nameOf} from "../sections.js";

const OF_DRAWING = ["outline", "layer", "unit", "half"];

const INTRO =
  "Each outline belongs to one height, as if the thing were sawn through there. Take one near the bottom, one just" +
  " above the rim of the holder, and one where the shape changes.";

export const outline = {
  id: "outline",
  title: "Outline",
  show(context) {
    const {desk, controls, view, go} = context,
      list = h("div", {class: "row"}),
      details = h("div", {}),
      waits = h("p", {class: "small", role: "status"}),
      missing = h("div", {}),
      given = handOver(context, choose),
      intro = small(INTRO),
      picture = pictureStep(context, details);
    let chosen = null,
      signature = "",
      editor = null,
      awaited = false;
    controls.replaceChildren(
      h("h2", {}, "Outlines of the thing"),
      intro,
      given.element,
      list,
      details,
      missing,
    );

    const here = () => entries(desk).find((one) => one.prefix === chosen);

    function choose(prefix) {
      chosen = prefix;
      if (!here()) chosen = (entries(desk)[0] || {}).prefix;
      awaited = false;
      draw();
    }

    function draw() {
      const all = entries(desk),
        held = list.contains(document.activeElement),
        one = here();
      leaveEditor();
      given.follow(all.length);
      list.replaceChildren(
        ...all.map((entry) =>
          button(entry.words, () => choose(entry.prefix), {"aria-pressed": String(entry.prefix === chosen)}),
        ),
      );
      mark();
      if (held && one) list.querySelector('[aria-pressed="true"]').focus();
      if (one && one.picture) {
        picture.show(one);
        return;
      }
      picture.hide();
      if (one) showDrawing(one);
      else {
        details.replaceChildren();
        view.replaceChildren(howToBegin());
      }
    }

    // Which are not read yet, and which cannot be used as they are.
    function mark() {
      entries(desk).forEach((entry, n) => {
        const {words, title} = markOf(entry, read(entry));
        list.children[n].textContent = entry.words + words;
        list.children[n].title = title;
      });
    }

    function showDrawing(one) {
      const fields = desk.schema.section.fields.filter((f) => OF_DRAWING.includes(f.key)),
        form = tableForm(desk, one.prefix, fields, {
          open: OF_DRAWING,
          of: one.name,
          each: takenAs(desk, one.prefix),
        });
      details.replaceChildren(
        h("h3", {}, one.name),
        one.measured
          ? small("This is a plain shape: it needs no outline. Its sizes are under Measure. ",
              button("Go there", () => go("measure", `${one.prefix}.height`), {class: "plain"}))
          : form.element,
        one.measured ? "" : row(button("Move its points", edit)),
        waits,
      ); // prettier-ignore
      waits.textContent = "";
      drawn();
    }

    // Sections as they were before the last change are not what would be moved.
    const unread = () => desk.sections.revision < desk.state.revision,
      read = (one) => desk.sections.sections.find((row) => `section[${row.number}]` === one.prefix);

    // A drawing or a plain shape as it was read.
    function drawn() {
      const one = here();
      if (!one || one.picture || editor) return;
      if (awaited && !unread()) return edit();
      const found = read(one),
        wrong = found ? found.problems.filter((p) => p.found !== "missing") : [];
      view.replaceChildren(
        sectionFigure(found) || small("The outline is drawn here once it can be read."),
        ...wrong.map((p) => h("p", {class: "error"}, p.words)),
      );
    }

    function edit() {
      const one = here(),
        found = read(one);
      awaited = unread();
      if (awaited) {
        waits.textContent = "The outline is still being read; then its points can be moved.";
        return;
      }
      if (!found || !found.outline) {
        waits.textContent = one.outline
          ? `${one.outline} gives no outline yet: see what is told of it. Its points can be moved once there is one.`
          : "There is no outline yet: choose its file first, then its points can be moved.";
        return drawn();
      }
      const place = onPlot(view, one.name, found.outline);
      editor = adjust(context, {prefix: one.prefix, name: one.name, ring: found.outline, ends: found.ends, place, done: draw});
      details.replaceChildren(editor.element);
    }

    function leaveEditor() {
      if (editor) editor.leave();
      editor = null;
    }

    function follow() {
      const now = JSON.stringify(
        entries(desk).map((one) => [one.prefix, one.words, one.picture && one.picture.file]),
      );
      if (now !== signature) {
        signature = now;
        choose(chosen);
      } else picture.follow();
      missing.replaceChildren(...missingList(context));
    }

    function told() {
      mark();
      drawn();
    }

    const off = desk.on({state: follow, sections: told});
    follow();
    return {
      leave() {
        leaveEditor();
        picture.leave();
        off();
      },
      reveal(key) {
        const one = entries(desk).find(({prefix}) => key.startsWith(prefix));
        if (one) choose(one.prefix);
      },
    };
  },
};

function markOf({prefix, picture, outline}, row) {
  if (!prefix.startsWith("section") || !(picture || outline)) return {words: "", title: ""};
  if (!row) return {words: " …", title: "not read yet"};
  const wrong = row.problems.filter((p) => p.found !== "missing");
  return wrong.length ? {words: " !", title: wrong.map((p) => p.words).join(" ")} : {words: "", title: ""};
}

// All sections and views, each with the words of its button.
function entries(desk) {
  const kind = (one) => (one.picture ? "" : one.measured ? " (plain shape)" : " (drawing)"),
    entry = (one, prefix, name) => ({...one, prefix, name, words: `${name}${kind(one)}`});
  return [
    ...fromBottom(desk).map(([one, number]) => entry(one, `section[${number}]`, nameOf(one, number))),
    ...(desk.value("view") || []).map((one, n) => entry(one, `view[${n + 1}]`, `view from the ${one.from}`)),
  ];
}
