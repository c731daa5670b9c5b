// A labelled field: it follows one key of the project and changes it.
import {h, newId, reasons} from "./dom.js";
import {isLong, parts, shown} from "./field_parts.js";

// One field, bound to a dotted key of the project. It follows the project, and shows what is wrong beside itself.
// What was refused stays in it with the reason, also where the field is made anew, until it is typed anew or let go
// with Escape, or the project says something else of the key.
export class Field {
  constructor(desk, key, spec, options = {}) {
    this.desk = desk;
    this.key = key;
    this.spec = spec;
    this.options = options;
    this.id = newId("field");
    this.error = h("p", {class: "error", id: `${this.id}-error`, role: "alert"});
    this.needed = h("p", {class: "needed", id: `${this.id}-needed`});
    this.told = null;
    const unit = spec.unit ? h("span", {class: "unit"}, ` ${spec.unit}`) : null;
    const says =
      spec.says && !options.quiet ? h("p", {class: "says", id: `${this.id}-says`}, spec.says) : null;
    const label = options.label || spec.label;
    const {input, extra, boxes, none} = parts(spec, {
      id: this.id,
      label,
      accept: options.accept,
      commit: () => this.commit(),
      send: (value) => this.send(value),
      upload: (chooser) => this.upload(chooser),
      pressed: (event) => (event.key === "Escape" ? this.letGo() : this.nudge(event)),
    });
    Object.assign(this, {input, boxes, none});
    this.named = [this.input].flat()[0];
    const group = spec.kind === "choices";
    const title = group
      ? h("span", {class: "legend", id: `${this.id}-label`}, label)
      : spec.kind === "yes_no"
        ? null
        : h("label", {for: this.id}, label, unit);
    const inside = spec.kind === "yes_no" ? h("label", {for: this.id}, this.input, label) : this.input;
    this.element = h(
      "div",
      {class: `field${group || isLong(spec) ? " wide" : ""}`, "data-key": key},
      title,
      inside,
      extra || null,
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

  // Arrow keys move a number.
  nudge(event) {
    const way = {ArrowUp: 1, ArrowDown: -1}[event.key];
    if (!way || this.spec.kind !== "number") return;
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
    if (!path) this.show(problems);
    else if (this.options.take) this.options.take(path);
    else this.send(path);
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
    const {refusals} = this.desk,
      asked = refusals.hold(this.key, value);
    const also = this.options.also ? this.options.also() : [];
    const answer = await this.desk.edit([{do: "set", key: this.key, value}, ...also], label);
    if (answer.ok) refusals.drop(asked);
    else Object.assign(asked, {kept: shown(this.desk.value(this.key)), problems: answer.problems});
    if (answer.ok || this.element.isConnected) this.follow();
    else this.desk.tell("state"); // its field was made anew meanwhile
    return answer;
  }

  letGo() {
    this.desk.refusals.drop(this.desk.refusals.of(this.key));
    this.input.value = shown(this.desk.value(this.key));
    this.follow();
  }

  // Show what the project says, unless somebody is typing here or what was typed was refused.
  follow() {
    const value = this.desk.value(this.key),
      refusal = this.desk.refusals.of(this.key);
    if (refusal && refusal.kept === shown(value)) return this.tell(refusal);
    if (refusal && refusal.kept !== null) this.desk.refusals.drop(refusal);
    this.told = null;
    this.fill(value);
    this.show(this.desk.problemsAt(this.key));
  }

  // Once only: what is told again is read aloud again.
  tell(refusal) {
    if (this.told === refusal) return;
    this.told = refusal;
    this.fill(refusal.value);
    this.show(refusal.problems);
    this.error.append(refusal.kept ? ` The project keeps ${refusal.kept}.` : " The project keeps it empty.");
  }

  fill(value) {
    const {spec} = this,
      {taken} = this.desk.holder;
    if (spec.kind === "choices") {
      this.boxes.forEach((box) => {
        box.checked = (value || []).includes(box.value);
      });
      this.none.checked = Array.isArray(value) && !value.length;
    } else if (spec.kind === "yes_no")
      this.input.checked = value === undefined ? Boolean(spec.default) : value === true;
    else if (spec.kind === "choice") this.input.value = value === undefined ? spec.default || "" : value;
    else if (document.activeElement !== this.input || this.input.value === "") {
      this.input.value = shown(value);
      if (taken && this.key in taken) this.input.placeholder = this.usual(shown(taken[this.key]));
    }
  }

  // What stands in the field where the project says nothing: what that comes to, behind the word that it is chosen by.
  usual(taken) {
    const {words, default: unsaid} = this.spec;
    return words.includes(unsaid) ? `${unsaid}: ${taken}` : taken;
  }

  show(problems) {
    const wrong = problems.filter((p) => p.found !== "missing");
    this.needed.textContent = wrong.length < problems.length ? "still to be given" : "";
    this.error.textContent = reasons(wrong);
    this.named.setAttribute("aria-invalid", String(wrong.length > 0));
  }
}
