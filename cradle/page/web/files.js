// Buttons that write files, what came of it, and the files to fetch.
import {button, h} from "./dom.js";
import {row, small} from "./layout.js";
import {placed} from "./places.js";

const KINDS = {
  stl: "to print",
  "3mf": "to print",
  pdf: "to print on paper",
  dxf: "drawing",
  svg: "drawing",
  html: "report",
  json: "figures for programs",
};

function maker(desk, words, address, data) {
  const said = h("p", {class: "small", role: "status"}),
    error = h("p", {class: "error", role: "alert"}),
    later = small("This can be done as soon as nothing is missing."),
    links = h("ul", {class: "files"});
  const press = button(words, make, {class: "first"});
  let writing = false;

  async function make() {
    if (writing) return;
    writing = true;
    follow();
    error.textContent = "";
    said.textContent = "Writing …";
    const answer = await desk.post(address, data());
    writing = false;
    follow();
    const {folder, files} = answer.body;
    said.textContent = answer.ok ? `Written to ${folder}. Fetch them from here, or open the folder:` : "";
    error.textContent = answer.problems.map((p) => placed(desk, p)).join(" ");
    links.replaceChildren(...(answer.ok ? files.map(link) : []));
    (answer.ok ? said : error).scrollIntoView({block: "nearest"});
  }

  function follow() {
    press.disabled = !desk.state.sound;
    press.setAttribute("aria-disabled", String(writing)); // one that is disabled would lose the focus
    later.hidden = desk.state.sound;
  }
  return {follow, element: h("div", {}, row(press), later, said, error, links)};
}

function link(name) {
  const kind = name.endsWith("-body.stl") ? "the thing as modelled, to look at" : KINDS[name.split(".").pop()],
    download = h("a", {href: `/file/${encodeURIComponent(name)}`, download: name}, name);
  return h("li", {}, download, kind ? h("span", {class: "small"}, ` ${kind}`) : null);
}

export function pieceFiles(desk) {
  const usual = desk.schema.test_pieces.fields.find((f) => f.key === "clearances").default,
    asked = () => ({clearances: desk.value("test_pieces.clearances") || usual || []});
  return maker(desk, "Make test pieces and paper checks", "/pieces", asked);
}

export function holderFiles(desk) {
  const report = {class: "button", href: "/report", target: "_blank", rel: "noopener"},
    words =
      "STL and 3MF to print, a PDF for the workshop with the sizes to check, drawings, and the fit report.",
    made = maker(desk, "Make the holder's files", "/files", () => ({})),
    toReport = h("p", {}, h("a", report, "Open the fit report"));
  return {
    follow() {
      made.follow();
      toReport.hidden = !desk.state.sound;
    },
    element: h("div", {}, small(words), made.element, toReport),
  };
}
