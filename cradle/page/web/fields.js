// Forms made from the schema: every key of the project has a labelled field with its unit.
import {button, h, newId} from "./dom.js";

const DRAWINGS = ".svg,.dxf,.csv,.json";
const PICTURES = ".png,.jpg,.jpeg,.tif,.tiff,.bmp,.webp,.heic,.heif";

function shown(value) {
  if (value === undefined || value === null) return "";
  return Array.isArray(value) ? value.join(" ") : String(value);
}

const LONG = 22;
const wordOf = (spec, word) => spec.choices[word] || word.replace(/_/g, " ");
const optionWords = (spec, word) => wordOf(spec, word) + (word === spec.default ? " (usual)" : "");

// One field, bound to a dotted key of the project. It follows the project, and shows what is wrong beside itself.
// What was refused stays in it with the reason until it is typed anew or let go with Escape, or the project says
// something else of the key.
export class Field {
  constructor(desk, key, spec, options = {}) {
    this.desk = desk;
    this.key = key;
    this.spec = spec;
    this.options = options;
    this.id = newId("field");
    this.error = h("p", {class: "error", id: `${this.id}-error`, role: "alert"});
    this.needed = h("p", {class: "needed", id: `${this.id}-needed`});
    this.refused = null;
    const unit = spec.unit ? h("span", {class: "unit"}, ` ${spec.unit}`) : null;
    const says =
      spec.says && !options.quiet ? h("p", {class: "says", id: `${this.id}-says`}, spec.says) : null;
    const label = options.label || spec.label;
    this.input = this.made(label);
    this.named = [this.input].flat()[0];
    const group = spec.kind === "choices",
      long = spec.kind === "choice" && spec.words.some((word) => optionWords(spec, word).length > LONG);
    const title = group
      ? h("span", {class: "legend", id: `${this.id}-label`}, label)
      : spec.kind === "yes_no"
        ? null
        : h("label", {for: this.id}, label, unit);
    const inside = spec.kind === "yes_no" ? h("label", {for: this.id}, this.input, label) : this.input;
    this.element = h(
      "div",
      {class: `field${group || long || options.wide ? " wide" : ""}`, "data-key": key},
      title,
      inside,
      this.extra || null,
      says,
      this.needed,
      this.error,
    );
    if (!group)
      this.named.setAttribute(
        "aria-describedby",
        [says && `${this.id}-says`, `${this.id}-needed`, `${this.id}-error`].filter(Boolean).join(" "),
      );
    this.follow();
  }

  made(label) {
    const {spec} = this,
      commit = () => this.commit();
    if (spec.kind === "choice") {
      const none = spec.required || spec.default ? [] : [h("option", {value: ""}, "–")];
      return h(
        "select",
        {id: this.id, onchange: commit},
        none,
        spec.words.map((word) => h("option", {value: word}, optionWords(spec, word))),
      );
    }
    if (spec.kind === "yes_no") return h("input", {id: this.id, type: "checkbox", onchange: commit});
    if (spec.kind === "choices") {
      this.boxes = spec.words.map((word) => h("input", {type: "checkbox", value: word, onchange: commit}));
      this.none = h("input", {type: "checkbox", onchange: () => this.send(this.none.checked ? [] : "")});
      return h(
        "div",
        {class: "ticks", role: "group", "aria-labelledby": `${this.id}-label`},
        spec.words.map((word, n) => h("label", {}, this.boxes[n], wordOf(spec, word))),
        h("label", {}, this.none, "none of these"),
      );
    }
    if (spec.kind === "file") {
      const chooser = h("input", {
        type: "file",
        hidden: true,
        accept: this.options.accept || `${DRAWINGS},${PICTURES}`,
        onchange: () => this.upload(chooser),
      });
      this.extra = h(
        "div",
        {class: "row"},
        button("Choose a file", () => chooser.click(), {"aria-label": `choose a file: ${label}`}),
        chooser,
      );
    }
    const list = spec.words.length ? `${this.id}-words` : null;
    if (list)
      this.extra = h(
        "datalist",
        {id: list},
        spec.words.map((word) => h("option", {value: word})),
      );
    return h("input", {
      id: this.id,
      type: "text",
      autocomplete: "off",
      list,
      spellcheck: "false",
      inputmode: spec.kind === "number" && !spec.words.length ? "decimal" : null,
      placeholder:
        spec.default === null || spec.default === undefined
          ? spec.required
            ? ""
            : "optional"
          : shown(spec.default),
      onchange: commit,
      onkeydown: (event) => (event.key === "Escape" ? this.letGo() : this.nudge(event)),
    });
  }

  // Arrow keys move a number.
  nudge(event) {
    const way = {ArrowUp: 1, ArrowDown: -1}[event.key];
    if (!way || this.spec.kind !== "number" || this.options.list) return;
    const text = this.input.value.trim() || shown(this.spec.default),
      number = Number(text);
    if (!text || Number.isNaN(number)) return;
    event.preventDefault();
    const step = this.options.step || (Math.abs(number) < 2 ? 0.05 : 0.5);
    this.input.value = String(+(number + way * step * (event.shiftKey ? 10 : 1)).toFixed(3));
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.commit(), 250);
    if (this.options.moved) this.options.moved(this.input.value);
  }

  async upload(chooser) {
    if (!chooser.files.length) return;
    const {path, problems} = await this.desk.upload(chooser.files[0]);
    chooser.value = "";
    if (path) this.send(path);
    else this.show(problems);
  }

  commit() {
    clearTimeout(this.timer);
    const {kind} = this.spec;
    if (kind === "choices") {
      const chosen = this.boxes.filter((box) => box.checked).map((box) => box.value);
      return this.send(chosen.length ? chosen : "");
    }
    return this.send(kind === "yes_no" ? this.input.checked : this.input.value);
  }

  async send(value) {
    const before = shown(this.desk.value(this.key));
    if (this.spec.kind !== "choices" && this.spec.kind !== "yes_no" && shown(value).trim() === before)
      return this.letGo();
    const label = `${this.options.label || this.spec.label}${this.options.of ? ` of ${this.options.of}` : ""}`;
    const answer = await (this.options.edit
      ? this.options.edit(value, label)
      : this.desk.set(this.key, value, label));
    if (answer.ok) {
      this.refused = null;
      this.show([]);
    } else this.refuse(answer.problems);
    return answer;
  }

  refuse(problems) {
    const kept = shown(this.desk.value(this.key));
    this.refused = {kept};
    this.show(problems);
    if (problems.length) this.error.append(kept ? ` The project keeps ${kept}.` : " The project keeps it empty.");
  }

  letGo() {
    this.refused = null;
    this.input.value = shown(this.desk.value(this.key));
    this.follow();
  }

  // Show what the project says, unless somebody is typing here or what was typed was refused.
  follow() {
    const value = this.desk.value(this.key),
      {spec} = this;
    if (this.refused && this.refused.kept === shown(value)) return;
    this.refused = null;
    if (spec.kind === "choices") {
      this.boxes.forEach((box) => {
        box.checked = (value || []).includes(box.value);
      });
      this.none.checked = Array.isArray(value) && !value.length;
    } else if (spec.kind === "yes_no")
      this.input.checked = value === undefined ? Boolean(spec.default) : value === true;
    else if (spec.kind === "choice") this.input.value = value === undefined ? spec.default || "" : value;
    else if (document.activeElement !== this.input || this.input.value === "")
      this.input.value = shown(value);
    this.show(this.desk.problemsAt(this.key));
  }

  show(problems) {
    const wrong = problems.filter((p) => p.found !== "missing");
    this.needed.textContent = this.spec.required && wrong.length < problems.length ? "still to be given" : "";
    this.error.textContent = wrong.map((p) => p.words).join(" ");
    this.named.setAttribute("aria-invalid", String(wrong.length > 0));
  }
}

// The fields of a table: the usual ones open, the rare ones folded.
export function tableForm(desk, prefix, fields, options = {}) {
  const all = [];
  const make = (spec) => {
    const field = new Field(desk, `${prefix}.${spec.key}`, spec, {
      ...(options.each ? options.each(spec) : {}),
      of: options.of,
    });
    all.push(field);
    return field.element;
  };
  const kept = fields.filter((f) => !(options.skip || []).includes(f.key));
  const first = kept.filter((f) => !f.rare || (options.open || []).includes(f.key));
  const rare = kept.filter((f) => !first.includes(f));
  const used = rare.some((f) => desk.value(`${prefix}.${f.key}`) !== undefined);
  const element = h(
    "div",
    {},
    h("div", {class: "fields"}, first.map(make)),
    rare.length
      ? h(
          "details",
          {class: "group", open: used && options.unfold},
          h("summary", {}, options.more || `More (${rare.length})`),
          h("div", {class: "fields"}, rare.map(make)),
        )
      : null,
  );
  return {element, fields: all, follow: () => all.forEach((field) => field.follow())};
}

// Put the focus on the field of a key, its group unfolded; whether there is one here.
export function focusField(root, key) {
  const element = root.querySelector(`[data-key="${CSS.escape(key)}"]`);
  if (!element) return false;
  for (let at = element; at; at = at.parentElement) if (at.tagName === "DETAILS") at.open = true;
  const input = element.querySelector("input, select");
  element.scrollIntoView({block: "center"});
  (input || element).focus();
  return true;
}
