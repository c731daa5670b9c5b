// Stack: where the sections lie, from above and from the side, how surely, and which reading decides it.
import {h, path, s, short} from "../dom.js";
import {tableForm} from "../fields.js";
import {above} from "../lie.js";
import {boundsOf, plot, words} from "../section_plot.js";

export const stack = {
  id: "stack",
  title: "Stack",
  show({desk, controls, view}) {
    const {schema} = desk,
      list = h("div", {}),
      loft = tableForm(desk, "loft", schema.loft.fields);
    let chosen = null,
      forms = [],
      signature = "";
    controls.replaceChildren(
      h("h2", {}, "Where the sections lie"),
      h(
        "p",
        {class: "small"},
        "All readings together say where each section lies, and how surely. Give a shift or a turn only where you measured it: it is taken as what it says.",
      ),
      list,
      h("details", {class: "group"}, h("summary", {}, schema.loft.title), loft.element),
    );

    function build() {
      forms = [];
      const sections = desk.value("section") || [],
        fields = schema.section.fields
          .filter((f) => f.key === "shift" || f.key === "turn")
          .map((f) => ({...f, rare: false}));
      list.replaceChildren(
        ...[...sections.entries()].reverse().map(([n, one]) => {
          const name = one.name || `section ${n + 1}`,
            form = tableForm(desk, `section[${n + 1}]`, fields, {of: name}),
            sure = h("p", {class: "small"});
          forms.push({number: n + 1, form, sure});
          const card = h(
            "div",
            {class: "card", onfocusin: () => choose(n + 1), onpointerdown: () => choose(n + 1)},
            h("h3", {}, name),
            form.element,
            sure,
          );
          card.dataset.number = n + 1;
          return card;
        }),
      );
    }

    function choose(number) {
      if (chosen !== number) {
        chosen = number;
        draw();
      }
    }

    function follow() {
      const now = JSON.stringify((desk.value("section") || []).map((one) => one.name));
      if (now !== signature) {
        signature = now;
        build();
      } else forms.forEach(({form}) => form.follow());
      loft.follow();
      tell();
    }

    function tell() {
      for (const {number, sure} of forms) {
        const one = desk.sections.sections.find((found) => found.number === number),
          placed = one && one.placed;
        sure.textContent = placed
          ? `Placed by ${placed.by}: sure to ${short(placed.spread[0])} mm left to right, ${short(placed.spread[1])} mm front to back, ${short(placed.turn_spread, 1)}° of turn. ${deciding(placed)}`
          : "Not placed yet.";
      }
      draw();
    }

    function draw() {
      const placed = desk.sections.sections.filter((one) => one.placed);
      if (!placed.length) {
        view.replaceChildren(
          h("p", {class: "small"}, "The sections appear here once they have heights and outlines."),
        );
        return;
      }
      list
        .querySelectorAll(".card")
        .forEach((card) => card.classList.toggle("chosen", Number(card.dataset.number) === chosen));
      view.replaceChildren(
        above({desk}, placed, chosen, spreadEllipse, choose),
        side(placed, desk.sections.side || {}, 0, chosen),
        side(placed, desk.sections.side || {}, 1, chosen),
      );
    }

    const off = [desk.on("state", follow), desk.on("sections", tell)];
    follow();
    return {
      leave: () => off.forEach((stop) => stop()),
      reveal(key) {
        const number = key.match(/^section\[(\d+)\]/);
        if (number) choose(Number(number[1]));
      },
    };
  },
};

function deciding(placed) {
  const [x, y] = placed.decides,
    said = (list) =>
      list.map((d) => `${d.reading} of ${d.section} (${Math.round(100 * d.share)} %)`).join(", ");
  return [
    x.length ? `What decides left to right: ${said(x)}.` : "",
    y.length ? `Front to back: ${said(y)}.` : "",
  ].join(" ");
}

// The middle of a section and how surely it is known: twice the standard uncertainty.
export function spreadEllipse(placed) {
  const [[a, b], [, d]] = placed.covariance,
    middle = (a + d) / 2,
    half = Math.hypot((a - d) / 2, b);
  const turn = ((Math.atan2(2 * b, a - d) / 2) * 180) / Math.PI,
    [x0, y0, x1, y1] = boundsOf([placed.ring]);
  return s("ellipse", {
    class: "ellipse",
    rx: 2 * Math.sqrt(Math.max(middle + half, 0)),
    ry: 2 * Math.sqrt(Math.max(middle - half, 0)),
    transform: `translate(${(x0 + x1) / 2} ${(y0 + y1) / 2}) rotate(${turn})`,
  });
}

function side(sections, profiles, axis, chosen) {
  const extents = sections.map((one) => {
    const b = boundsOf([one.placed.ring]);
    return [b[axis], b[axis + 2], one.height];
  });
  const given = (axis ? ["front", "back"] : ["left", "right"]).map((name) => profiles[name]).filter(Boolean);
  const rings = [
    extents.flatMap(([a, b, z]) => [
      [a, z],
      [b, z],
    ]),
    [[extents[0][0], 0]],
    ...given.map((list) => list.map(([z, v]) => [v, z])),
  ];
  const figure = plot(
    boundsOf(rings),
    axis ? "heights from the right: front on the left" : "heights from the front",
    (upright, unit, drawing) => {
      for (const list of given)
        upright.append(
          s("path", {
            class: "other",
            d: path(
              list.map(([z, v]) => [v, z]),
              false,
            ),
          }),
        );
      sections.forEach((one, n) => {
        const [a, b, z] = extents[n],
          spread = 2 * one.placed.spread[axis];
        upright.append(
          s("path", {class: one.number === chosen ? "outline chosen" : "outline", d: `M${a} ${z}H${b}`}),
          s("rect", {
            class: "ellipse",
            x: (a + b) / 2 - spread,
            y: z - 3 * unit,
            width: 2 * spread,
            height: 6 * unit,
          }),
        );
        words(drawing, unit, b + 8 * unit, z - 4 * unit, one.name, "start");
      });
    },
  );
  return h(
    "figure",
    {},
    figure,
    h(
      "figcaption",
      {},
      axis
        ? "From the right: the front is on the left. Dashed: profiles."
        : "From the front. Dashed: profiles.",
    ),
  );
}
