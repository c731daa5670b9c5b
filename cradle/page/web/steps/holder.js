// Holder: the block and all that belongs to it, beside thing and holder in 3-D.
import {cautionsOf, verdictOf} from "../care.js";
import {button, h, redrawn} from "../dom.js";
import {formsTogether, tableForm} from "../fields.js";
import {holderView} from "../holder_view.js";
import {group, small} from "../layout.js";
import {missingList} from "../missing.js";
import {openingsForm} from "../openings.js";

const FOLDED = ["row", "printer", "spread"];

export const holder = {
  id: "holder",
  title: "Holder",
  show(context) {
    const {desk, controls} = context;
    const view = holderView(context),
      verdict = verdictOf(context, view.point),
      cautions = cautionsOf(desk, {folded: true}),
      missing = h("div", {}),
      forms = h("div", {});
    let signature = "",
      all = formsTogether();
    controls.replaceChildren(h("h2", {}, "The holder"), verdict.element, cautions.element, missing, forms);

    function build() {
      all = formsTogether();
      const {add} = all;
      const table = (name, open) =>
        group(
          desk.schema[name].title,
          open,
          desk.schema[name].says ? small(desk.schema[name].says) : null,
          add(tableForm(desk, name, desk.schema[name].fields)),
        );
      const thing = tableForm(desk, "object", desk.schema.object.fields, {open: ["hazards"], more: "More about the thing"});
      forms.replaceChildren(
        h("h3", {}, "The thing"),
        add(thing),
        table("block", true),
        openingsForm(desk, add),
        plate(desk, add),
        ...FOLDED.map((name) => table(name, false)),
      );
    }

    function follow() {
      const kinds = (desk.value("opening") || []).map((one) => one.kind),
        now = JSON.stringify([kinds, desk.value("plate") !== undefined, desk.state.readable]);
      if (now !== signature) {
        signature = now;
        redrawn(forms, build);
      } else all.follow();
      for (const one of [verdict, cautions]) one.follow();
      missing.replaceChildren(...missingList(context));
    }

    const off = desk.on({state: follow, holder: follow});
    follow();
    return {
      leave() {
        view.leave();
        off();
      },
    };
  },
};

function plate(desk, add) {
  const there = desk.value("plate") !== undefined,
    put = () =>
      desk.edit([{do: "add", key: "plate", values: {width: "110", screw: "M4"}}], "wall plate added"),
    remove = () => desk.edit([{do: "remove", key: "plate"}], "wall plate removed");
  return group(
    "Wall plate",
    there,
    small(desk.schema.plate.says),
    there
      ? [
          button("Remove the plate", remove),
          add(tableForm(desk, "plate", desk.schema.plate.fields, {unfold: true})),
        ]
      : button("Add a wall plate", put),
  );
}
