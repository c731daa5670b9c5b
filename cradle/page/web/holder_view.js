// What the steps Holder and Fit show on the right: the 3-D view, what to do, and what was found.
import {button, h, sentence} from "./dom.js";
import {solidView} from "./solid.js";

const WORDS = {fail: "do not print", warn: "warning", note: "note"};

export function holderView({desk, view, go}) {
  const solid = solidView(),
    said = h("p", {class: "small", role: "status"}),
    below = h("div", {});
  view.replaceChildren(said, solid.element, below);

  function part(event) {
    const data = desk.parts[event.detail];
    if (event.detail === "body" && !desk.holder.thing) solid.show({thing: data.thing, holder: null});
    if (event.detail === "rough") {
      solid.show({holder: data.holder, thing: data.thing});
      said.textContent = "A first holder; it is still being measured.";
    }
  }

  let shown = null,
    told = "";

  function whole() {
    const {holder, state} = desk,
      done = holder.stage === "done",
      now = holder.revision === state.revision;
    if (done && holder !== shown && !desk.parts.rough) {
      shown = holder;
      solid.mark(null);
      solid.show({holder: holder.holder || null, thing: holder.thing, asked: holder.gap_asked});
    }
    const problems = now ? holder.problems || [] : [],
      stopped = state.sound && (desk.stopped || problems.some((p) => p.found === "stopped"));
    if (stopped) said.textContent = "Stopped.";
    else if (!state.sound)
      said.textContent = done
        ? "This is the last holder that could be built. What is missing now is told on the left."
        : "The holder appears here as soon as nothing is missing.";
    else if (problems.length)
      said.textContent = done
        ? "No holder with these values. This is the last one that could be built."
        : "No holder with these values.";
    else if (!now)
      said.textContent = done
        ? "The holder is being built with the new values; this is the one before."
        : "The holder is being built.";
    else said.textContent = done ? `${holder.name}, ${holder.clearance_words}` : "The holder is being built.";
    below.classList.toggle("earlier", done && (!now || problems.length > 0));
    const words = JSON.stringify([
      stopped,
      problems,
      done && holder.findings,
      state.values && state.values.section && state.values.section.map((one) => one.name),
    ]);
    if (words === told) return;
    told = words;
    below.replaceChildren(
      ...(stopped ? [button("Build again", () => desk.post("/build", {}), {class: "first"})] : []),
      ...problems
        .filter((p) => p.found !== "stopped")
        .map((p) => h("p", {class: "error", role: "alert"}, `${p.where ? `${p.where}: ` : ""}${p.words}`)),
      ...findings(holder),
    );
  }

  function findings(holder) {
    if (holder.stage !== "done") return [];
    const loud = holder.findings.filter((f) => f.severity !== "note"),
      quiet = holder.findings.filter((f) => f.severity === "note");
    const item = (f) =>
      h(
        "li",
        {class: f.severity},
        h("strong", {}, `${WORDS[f.severity]} `),
        sentence(f.message),
        f.advice ? h("em", {}, sentence(f.advice)) : null,
        h(
          "span",
          {class: "row"},
          place(f),
          f.at
            ? button(
                "Show the place",
                () => {
                  solid.mark(f.at);
                  view.scrollTo({top: 0});
                },
                {class: "plain"},
              )
            : null,
        ),
      );
    return [
      h("h2", {}, "What was found"),
      loud.length
        ? h("ul", {class: "findings"}, loud.map(item))
        : h("p", {}, "Nothing that stands against printing it."),
      quiet.length
        ? h(
            "details",
            {class: "group"},
            h("summary", {}, `${quiet.length} notes: choices and repairs made for you`),
            h("ul", {class: "findings"}, quiet.map(item)),
          )
        : null,
      h("h2", {}, "In figures"),
      h(
        "table",
        {},
        h(
          "tbody",
          {},
          holder.figures.map(([name, value]) =>
            h("tr", {}, h("th", {scope: "row"}, name), h("td", {}, value)),
          ),
        ),
      ),
    ].filter(Boolean);
  }

  function place(finding) {
    const key = fieldOf(desk, finding.where);
    return key ? button(`Go to ${key.words}`, () => go(key.step, key.key), {class: "plain"}) : null;
  }

  const off = [desk.on("part", part), desk.on("holder", whole), desk.on("state", whole)];
  whole();
  return {solid, leave: () => off.forEach((stop) => stop())};
}

// The field that a finding or a mistake is about: its key, the step it stands in, and words.
export function fieldOf(desk, where) {
  if (!where) return null;
  const sections = (desk.state.values && desk.state.values.section) || [];
  const named = where.match(/section ["'](.+?)["']/);
  if (named) {
    const number = sections.findIndex((one, n) => (one.name || `section ${n + 1}`) === named[1]);
    return number < 0 ? null : {key: `section[${number + 1}].height`, step: "measure", words: named[1]};
  }
  const file = sections.findIndex(
    (one) => one.outline === where || (one.picture && one.picture.file === where),
  );
  if (file >= 0)
    return {key: `section[${file + 1}].height`, step: "measure", words: sections[file].name || where};
  const table = where.split(/[.[]/)[0];
  if (!(table in desk.schema) || !where.includes(".")) return null;
  const step =
    {
      section: "measure",
      side: "measure",
      view: "measure",
      loft: "stack",
      test_pieces: "fit",
      fit: where === "fit.clearance" ? "fit" : "holder",
    }[table] || "holder";
  return {key: where, step, words: where.replace(/[._]/g, " ")};
}

// Verdict and cautions in an element that changes only with the holder, so that what was unfolded stays so.
export function careOf(desk) {
  const element = h("div", {});
  let shown = null;
  return {
    element,
    follow() {
      if (desk.holder === shown) return;
      shown = desk.holder;
      element.replaceChildren(...[verdict(shown), cautions(shown)].filter(Boolean));
    },
  };
}

function verdict(holder) {
  if (holder.stage !== "done") return null;
  return h(
    "div",
    {class: `verdict ${holder.verdict.kind}`},
    h("strong", {}, holder.verdict.advised),
    h("p", {}, holder.verdict.reason),
  );
}

function cautions(holder) {
  if (holder.stage !== "done" || !holder.cautions.length) return null;
  return h(
    "section",
    {class: "cautions", "aria-label": "Take care"},
    h("h2", {}, "Take care"),
    h(
      "ul",
      {},
      holder.cautions.slice(0, 4).map((words) => h("li", {}, words)),
    ),
    holder.cautions.length > 4
      ? h(
          "details",
          {},
          h("summary", {}, `${holder.cautions.length - 4} more`),
          h(
            "ul",
            {},
            holder.cautions.slice(4).map((words) => h("li", {}, words)),
          ),
        )
      : null,
  );
}
