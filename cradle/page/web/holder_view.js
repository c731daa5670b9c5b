// What the steps Holder and Fit show beside their fields: the holder in 3-D, its notes and figures.
import {button, h, sentence} from "./dom.js";
import {findingItem} from "./findings.js";
import {group, small} from "./layout.js";
import {fieldOf, placed, waysOf} from "./places.js";
import {sections} from "./sections.js";
import {solidView} from "./solid.js";

export function holderView({desk, view, found, go}) {
  const solid = solidView(),
    said = h("p", {class: "small status", role: "status"}),
    again = h("div", {});
  view.replaceChildren(said, solid.element, again);
  let shown = null,
    told = "";

  function part(event) {
    const data = desk.parts[event.detail];
    if (event.detail === "body" && !desk.holder.thing) solid.show({thing: data.thing, holder: null});
    if (event.detail !== "rough") return;
    solid.show({holder: data.holder, thing: data.thing});
    said.textContent = "A first holder; it is still being measured.";
  }

  function whole() {
    const {holder, state} = desk,
      done = holder.stage === "done",
      current = holder.revision === state.revision,
      problems = current ? holder.problems || [] : [],
      stopped = state.sound && (desk.stopped || problems.some((p) => p.found === "stopped"));
    if (done && holder !== shown && !desk.parts.rough) {
      shown = holder;
      solid.mark(null);
      solid.show({holder: holder.holder || null, thing: holder.thing});
    }
    said.textContent = statusWords({holder, state, done, current, problems, stopped});
    found.classList.toggle("earlier", done && (!current || problems.length > 0));
    const names = sections(desk).map((one) => one.name);
    const words = JSON.stringify([stopped, problems, done && holder.findings, names]);
    if (words === told) return;
    told = words;
    // What another file says, such as that of a thing beside it, may have been put right meanwhile.
    again.replaceChildren(
      ...(stopped || problems.length ? [button("Build again", () => desk.post("/build", {}), {class: "first"})] : []),
    );
    found.replaceChildren(
      ...problems.filter((p) => p.found !== "stopped").map((p) => problem(p)),
      ...(done ? rest(holder) : []),
    );
  }

  function problem(p) {
    const key = fieldOf(desk, p.where);
    return h(
      "p",
      {class: "error", role: "alert"},
      `${placed(desk, p)} `,
      key ? button(`Go to ${key.words}`, () => go(key.step, key.key), {class: "plain"}) : null,
    );
  }

  // What speaks against printing stands in the verdict; the rest of what was found is told here.
  function rest({findings, figures, gap_words: why}) {
    const notes = findings.filter((f) => f.severity === "note"),
      row = ([name, value]) => h("tr", {}, h("th", {scope: "row"}, name), h("td", {}, value));
    return [
      notes.length
        ? group(
            `${notes.length} notes: choices and repairs made for you`,
            false,
            h("ul", {class: "findings"}, notes.map(item)),
          )
        : null,
      h("h2", {}, "In figures"),
      h("table", {}, h("tbody", {}, figures.map(row))),
      why ? small(sentence(why)) : null,
    ].filter(Boolean);
  }

  function item(finding) {
    return findingItem(finding, {ways: waysOf({desk, go}, finding, point)});
  }

  function point(at) {
    solid.mark(at);
    solid.element.scrollIntoView({block: "nearest"});
  }

  function leave() {
    solid.leave();
    off();
  }

  const off = desk.on({part, holder: whole, state: whole});
  whole();
  return {solid, point, leave};
}

function statusWords({holder, state, done, current, problems, stopped}) {
  if (stopped) return "Stopped.";
  if (!state.sound)
    return done
      ? "This is the last holder that could be built. What is to be given now is told beside it."
      : "The holder appears here as soon as nothing is missing.";
  if (problems.length)
    return `No holder with these values.${done ? " This is the last one that could be built." : ""}`;
  if (!done) return "The holder is being built.";
  if (!current) return "The holder is being built with the new values; this is the one before.";
  return `${holder.name}, ${holder.clearance_words}`;
}
