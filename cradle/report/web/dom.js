// Elements made in one expression: h("p", {class: "small"}, "words", child).
const SVG = "http://www.w3.org/2000/svg";

function filled(element, attributes, children) {
  for (const [name, value] of Object.entries(attributes || {})) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else if (name === "value" || name === "checked" || name === "disabled" || name === "hidden")
      element[name] = value;
    else element.setAttribute(name, value === true ? "" : String(value));
  }
  element.append(
    ...children.flat(3).filter((child) => child !== null && child !== undefined && child !== false),
  );
  return element;
}

export function h(tag, attributes, ...children) {
  return filled(document.createElement(tag), attributes, children);
}

export function s(tag, attributes, ...children) {
  return filled(document.createElementNS(SVG, tag), attributes, children);
}

// What is pressed. Where "onclick" returns an answer that was refused, why is told beside the button.
export function button(words, onclick, attributes = {}) {
  const press = async (event) => tellRefusal(made, await onclick(event)),
    made = h("button", {type: "button", onclick: press, ...attributes}, words);
  return made;
}

// A button that is on or off: whether it is, and what it sets.
export function toggle(words, is, set) {
  const press = () => {
      set(!is());
      made.setAttribute("aria-pressed", String(is()));
    },
    made = button(words, press, {"aria-pressed": String(is())});
  return made;
}

function tellRefusal(made, answer) {
  const place = made.closest("p, h3, .row") || made,
    refused = answer && answer.ok === false;
  if (place.nextElementSibling && place.nextElementSibling.matches(".refused")) place.nextElementSibling.remove();
  if (refused)
    place.after(h("p", {class: "error refused", role: "alert"}, reasons(answer.problems)));
}

// A number as people write it: no more digits than asked for, no zeros at its end.
export function short(value, digits = 2) {
  return value === null || value === undefined ? "–" : String(+Number(value).toFixed(digits));
}

// A clearance as the commands tell it: in hundredths, and with as many digits more as it has, down to 1e-9 mm.
export function exact(mm) {
  const [whole, part] = mm.toFixed(9).split(".");
  return `${whole}.${part.replace(/0+$/, "").padEnd(2, "0")}`;
}

let numbers = 0;
export function newId(word) {
  numbers += 1;
  return `${word}-${numbers}`;
}

export function path(points, closed = true) {
  if (!points || !points.length) return "";
  return "M" + points.map((p) => `${p[0]} ${p[1]}`).join("L") + (closed ? "Z" : "");
}

// What a finding or a mistake is shown as.
export function sentence(text) {
  const words = text.charAt(0).toUpperCase() + text.slice(1);
  return /[.!?]$/.test(words) ? words : words + ".";
}

// Why something was refused, in one paragraph.
export function reasons(problems) {
  return problems.map((p) => p.words).join(" ");
}

// What an element is known by when it is drawn anew.
function nameOf(element) {
  const field = element.closest("[data-key]"),
    own = element.dataset.focus || element.getAttribute("aria-label") || element.textContent;
  return own || field ? `${element.tagName} ${field ? field.dataset.key : ""} ${own}` : null;
}

// Draw anew what is inside an element. What was unfolded stays so, and what had the focus has it again, if something
// of its name is there still.
export function redrawn(root, work) {
  const unfolded = () => [...root.querySelectorAll("details > summary")],
    open = new Set(
      unfolded()
        .filter((one) => one.parentElement.open)
        .map((one) => one.textContent),
    ),
    held = root.contains(document.activeElement) ? nameOf(document.activeElement) : null;
  work();
  for (const one of unfolded()) if (open.has(one.textContent)) one.parentElement.open = true;
  if (held === null || root.contains(document.activeElement)) return;
  const again = [...root.querySelectorAll("button, select, input, [tabindex]")].find(
    (one) => nameOf(one) === held,
  );
  if (again) again.focus({preventScroll: true});
}
