// Where files are handed over: dragged here, or chosen. Each becomes a section.
import {button, h, reasons} from "./dom.js";
import {TAKEN} from "./field_parts.js";
import {small} from "./layout.js";
import {addDrawn, addPlain} from "./new_section.js";

const TAKES =
  "A scan or photograph of a cut card beside a ruler, the capture sheet, or a drawing: SVG, DXF, CSV, JSON." +
  " They are copied into the project's folder. A plain shape needs readings alone.";

// `added` is told the key of each new section.
export function handOver(context, added) {
  const {desk} = context,
    error = h("p", {class: "error", role: "alert"}),
    chooser = h("input", {type: "file", multiple: true, hidden: true, accept: TAKEN, onchange: chosen});
  const words = h("p", {}, "Drag pictures or drawings here, or"),
    about = small(TAKES),
    choose = button("Choose files", () => chooser.click()),
    plain = button("", () => addPlain(context));
  const over = (event) => {
    event.preventDefault();
    drop.classList.add("over");
  };
  const drop = h(
    "div",
    {
      class: "drop",
      ondragover: over,
      ondragleave: () => drop.classList.remove("over"),
      ondrop: (event) => {
        event.preventDefault();
        drop.classList.remove("over");
        take([...event.dataTransfer.files]);
      },
    },
    words,
    h("div", {class: "row middle"}, choose, plain),
    chooser,
    about,
  );

  function chosen() {
    take([...chooser.files]);
    chooser.value = "";
  }

  async function take(files) {
    error.textContent = "";
    for (const file of files) {
      const problems = await put(file);
      if (problems.length) error.textContent += `${file.name}: ${reasons(problems)} `;
    }
  }

  async function put(file) {
    const {path, problems} = await desk.upload(file);
    if (!path) return problems;
    const answer = await addDrawn(desk, path, file.name);
    if (answer.ok) added(answer.key);
    return answer.problems;
  }

  // Once there are some the rest has the room.
  function follow(count) {
    drop.classList.toggle("small-drop", count > 0);
    words.hidden = about.hidden = count > 0;
    choose.classList.toggle("first", !count);
    choose.textContent = count ? "Add files" : "Choose files";
    plain.textContent = count ? "Add a plain shape" : "Begin with a plain shape";
  }

  return {element: h("div", {}, drop, error), follow};
}
