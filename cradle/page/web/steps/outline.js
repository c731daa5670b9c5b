// Outline: pictures and drawings become sections.
import {button, h} from "../dom.js";
import {tableForm} from "../fields.js";
import {adjust} from "../adjust.js";
import {pictureStep} from "../picture_step.js";
import {sectionPlot} from "../section_plot.js";

export const outline = {
  id: "outline",
  title: "Outline",
  show(context) {
    const {desk, controls, view, go} = context;
    const chooser = h("input", {
      type: "file",
      multiple: true,
      hidden: true,
      accept: ".png,.jpg,.jpeg,.tif,.tiff,.bmp,.webp,.heic,.heif,.svg,.dxf,.csv,.json",
      onchange: () => take(chooser.files),
    });
    const error = h("p", {class: "error", role: "alert"}),
      list = h("div", {}),
      details = h("div", {});
    const drop = h(
      "div",
      {
        class: "drop",
        ondragover: (event) => {
          event.preventDefault();
          drop.classList.add("over");
        },
        ondragleave: () => drop.classList.remove("over"),
        ondrop: (event) => {
          event.preventDefault();
          drop.classList.remove("over");
          take(event.dataTransfer.files);
        },
      },
      h("p", {}, "Drag pictures or drawings here, or"),
      button("Choose files", () => chooser.click(), {class: "first"}),
      chooser,
      h(
        "p",
        {class: "small"},
        "A scan or photograph of a cut card beside a ruler, the capture sheet, or a drawing: SVG, DXF, CSV, JSON. They are copied into the project’s folder.",
      ),
    );
    controls.replaceChildren(
      h("h2", {}, "Outlines of the thing"),
      h(
        "p",
        {class: "small"},
        "Each outline belongs to one height, as if the thing were sawn through there. Take one near the bottom, one just above the rim of the holder, and one where the shape changes.",
      ),
      drop,
      error,
      list,
      details,
    );
    const picture = pictureStep(context, details);
    let chosen = null,
      signature = "";

    async function take(files) {
      error.textContent = "";
      for (const file of files) {
        const {path, problems} = await desk.upload(file);
        const answer = path
          ? await desk.edit(
              [
                {
                  do: "add",
                  key: "section",
                  values: {
                    name: name(file),
                    ...(path.startsWith("pictures/") ? {picture: {file: path}} : {outline: path}),
                  },
                },
              ],
              `${file.name} added`,
            )
          : {problems};
        if (answer.problems.length)
          error.textContent += `${file.name}: ${answer.problems.map((p) => p.words).join(" ")} `;
        else {
          const all = desk.value("section") || [];
          choose(all.length);
        }
      }
      chooser.value = "";
    }

    function name(file) {
      const taken = new Set((desk.value("section") || []).map((one) => one.name)),
        stem =
          file.name
            .replace(/\.[^.]*$/, "")
            .replace(/[-_]+/g, " ")
            .trim() || "section";
      for (let n = 1; ; n++) {
        const words = n === 1 ? stem : `${stem} ${n}`;
        if (!taken.has(words)) return words;
      }
    }

    function entries() {
      const sections = (desk.value("section") || []).map((one, n) => ({
        prefix: `section[${n + 1}]`,
        name: one.name || `section ${n + 1}`,
        picture: one.picture,
        outline: one.outline,
        measured: one.measured,
      }));
      const views = (desk.value("view") || []).map((one, n) => ({
        prefix: `view[${n + 1}]`,
        name: `view from the ${one.from}`,
        picture: one.picture,
        outline: one.outline,
      }));
      return [...sections, ...views];
    }

    function choose(number) {
      const all = entries();
      chosen = Math.max(1, Math.min(number, all.length));
      draw();
    }

    function draw() {
      const all = entries();
      list.replaceChildren(
        ...all.map((one, n) =>
          button(
            `${one.name}${one.picture ? "" : one.measured ? " (plain shape)" : " (drawing)"}`,
            () => choose(n + 1),
            {"aria-pressed": String(n + 1 === chosen)},
          ),
        ),
        all.length ? button("On to the readings", () => go("measure"), {class: "plain"}) : "",
      );
      list.className = "row";
      const one = all[(chosen || 1) - 1];
      if (!one) {
        details.replaceChildren();
        view.replaceChildren(h("p", {class: "small"}, "Pictures and their outlines appear here."));
        return;
      }
      if (one.picture) picture.show(one);
      else {
        picture.hide();
        details.replaceChildren(
          one.measured
            ? h(
                "p",
                {class: "small"},
                "This is a plain shape: it needs no outline. Its sizes are under Measure.",
              )
            : tableForm(
                desk,
                one.prefix,
                desk.schema.section.fields
                  .filter((f) => ["outline", "layer", "unit", "half"].includes(f.key))
                  .map((f) => ({...f, rare: false})),
                {of: one.name},
              ).element,
        );
        drawn();
      }
    }

    // A drawing or a plain shape as it was read.
    function drawn() {
      const one = entries()[(chosen || 1) - 1];
      if (!one || one.picture) return;
      const found = one.prefix.startsWith("section")
        ? desk.sections.sections.find((row) => `section[${row.number}]` === one.prefix)
        : null;
      const figure = found ? sectionPlot(found) : null;
      view.replaceChildren(
        ...[
          figure
            ? h("figure", {}, figure, h("figcaption", {}, `${one.name} from above, the front at the bottom.`))
            : h("p", {class: "small"}, "The outline is drawn here once it can be read."),
          ...(found
            ? found.problems
                .filter((p) => p.found !== "missing")
                .map((p) => h("p", {class: "error"}, p.words))
            : []),
          figure && !one.measured
            ? button("Move its points", () => adjust(context, one.prefix, found))
            : null,
        ].filter(Boolean),
      );
    }

    function follow() {
      const now = JSON.stringify(
        entries().map((one) => [one.prefix, one.name, one.picture && one.picture.file]),
      );
      if (now !== signature) {
        signature = now;
        choose(chosen || 1);
      } else picture.follow();
    }

    const off = [desk.on("state", follow), desk.on("sections", drawn)];
    follow();
    return {
      leave() {
        picture.leave();
        off.forEach((stop) => stop());
      },
      reveal(key) {
        const n = entries().findIndex((one) => key.startsWith(one.prefix));
        if (n >= 0) choose(n + 1);
      },
    };
  },
};
