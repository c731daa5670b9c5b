// As much of a browser's document as the page's modules use, for running them without a browser.
// Nothing is drawn and nothing has a size; what is tested is that every step fills, follows and leaves.
class ClassList {
  constructor(owner) { this.owner = owner; }
  get list() { return (this.owner.attributes.class || "").split(/\s+/).filter(Boolean); }
  contains(name) { return this.list.includes(name); }
  add(name) { if (!this.contains(name)) this.owner.attributes.class = [...this.list, name].join(" "); }
  remove(name) { this.owner.attributes.class = this.list.filter((one) => one !== name).join(" "); }
  toggle(name, force) { const on = force === undefined ? !this.contains(name) : force; if (on) this.add(name); else this.remove(name); return on; }
}

const pen = () => new Proxy(function () {}, {get: (_, name) => (name === Symbol.toPrimitive ? () => 1 : pen()), set: () => true, apply: () => pen()});

export class Node extends EventTarget {
  constructor(tag) {
    super();
    this.tagName = tag === "#text" ? tag : tag.toUpperCase();
    this.attributes = {}; this.childNodes = []; this.parentElement = null; this.style = {}; this.dataset = {};
    this.classList = new ClassList(this);
    this.hidden = false; this.clientWidth = 600; this.clientHeight = 400; this.text = ""; this.files = [];
    this._value = undefined;
  }
  get className() { return this.attributes.class || ""; }
  set className(value) { this.attributes.class = value; }
  get id() { return this.attributes.id || ""; }
  get value() {
    if (this._value !== undefined) return this._value;
    if (this.tagName === "SELECT") { const first = this.all().find((one) => one.tagName === "OPTION"); return first ? first.attributes.value ?? first.value ?? first.textContent : ""; }
    return this.tagName === "OPTION" ? this.attributes.value ?? this.textContent : "";
  }
  set value(value) { this._value = String(value); }
  get textContent() { return this.tagName === "#text" ? this.text : this.childNodes.map((one) => one.textContent).join(""); }
  set textContent(words) { this.replaceChildren(String(words)); }
  setAttribute(name, value) { this.attributes[name] = String(value); if (name.startsWith("data-")) this.dataset[name.slice(5)] = String(value); if (name === "type" || name === "open") this[name] = value; }
  getAttribute(name) { return this.attributes[name] ?? null; }
  removeAttribute(name) { delete this.attributes[name]; }
  append(...children) {
    for (const child of children) {
      if (child === undefined || child === null) throw new Error(`${this.tagName} is given ${child}`);
      const node = child instanceof Node ? child : text(String(child));
      if (node.textContent.includes("[object Object]") || node.textContent.includes("undefined")) throw new Error(`shown: ${node.textContent}`);
      if (node.parentElement) node.parentElement.childNodes = node.parentElement.childNodes.filter((one) => one !== node);
      node.parentElement = this;
      this.childNodes.push(node);
    }
  }
  replaceChildren(...children) { for (const one of this.childNodes) one.parentElement = null; this.childNodes = []; this.append(...children); }
  all() { return this.childNodes.flatMap((one) => (one.tagName === "#text" ? [] : [one, ...one.all()])); }
  matches(selector) { return selector.split(",").some((one) => simple(this, one.trim())); }
  closest(selector) { for (let at = this; at; at = at.parentElement) if (at.matches(selector)) return at; return null; }
  contains(other) { for (let at = other; at; at = at.parentElement) if (at === this) return true; return false; }
  querySelectorAll(selector) { const last = selector.trim().split(/\s+/).pop(); return this.all().filter((one) => one.matches(last)); }
  querySelector(selector) { return this.querySelectorAll(selector.split(",").map((one) => one.trim()).join(","))[0] || null; }
  focus() { document.activeElement = this; }
  click() { if (!this.disabled) this.dispatchEvent(Object.assign(new Event("click"), {})); }
  scrollIntoView() {} scrollTo() {} setPointerCapture() {}
  getBoundingClientRect() { return {left: 0, top: 0, width: this.clientWidth, height: this.clientHeight}; }
  getContext() { return pen(); }
  getScreenCTM() { return {inverse: () => ({})}; }
}

function simple(node, selector) {
  const parts = selector.match(/^[a-z0-9]+|#[\w-]+|\.[\w-]+|\[(?:\\.|[^\]\\])*\]|:not\([^)]*\)/gi) || [];
  return parts.every((part) => {
    if (part.startsWith(":not")) return true;
    if (part[0] === "#") return node.id === part.slice(1);
    if (part[0] === ".") return node.classList.contains(part.slice(1));
    if (part[0] === "[") { const [name, value] = part.slice(1, -1).split("="); return value === undefined ? name in node.attributes : node.attributes[name] === value.replace(/^"|"$/g, "").replace(/\\(.)/g, "$1"); }
    return node.tagName === part.toUpperCase();
  });
}

function text(words) { const node = new Node("#text"); node.text = words; return node; }

// Server-sent events, line by line.
async function listen(target, address, cookie) {
  let rest = "", kind = "";
  const answer = await realFetch(address, {headers: {cookie}});
  target.dispatchEvent(new Event("open"));
  for await (const piece of answer.body.pipeThrough(new TextDecoderStream())) {
    const lines = (rest + piece).split("\n");
    rest = lines.pop();
    for (const line of lines) {
      if (line.startsWith("event: ")) kind = line.slice(7);
      if (line.startsWith("data: ")) target.dispatchEvent(Object.assign(new Event(kind), {data: line.slice(6)}));
    }
  }
}
const realFetch = globalThis.fetch;

// The ids of the page's HTML, and the rest of what a window has.
export function browser(address, cookie) {
  const document = new Node("document"), here = new URL(address);
  Object.assign(document, {
    activeElement: null, title: "",
    createElement: (tag) => new Node(tag), createElementNS: (_, tag) => new Node(tag),
    getElementById: (id) => document.all().find((one) => one.id === id) || null,
  });
  for (const id of ["name", "saved", "steps", "undo", "redo", "trouble", "controls", "view", "work"]) {
    const node = new Node(id === "undo" || id === "redo" ? "button" : "section");
    node.setAttribute("id", id);
    document.append(node);
  }
  Object.assign(globalThis, {
    document, Node, window: globalThis, location: {hash: "", pathname: "/", search: ""},
    history: {replaceState(_, __, place) { globalThis.location.hash = place.includes("#") ? "#" + place.split("#")[1] : ""; }},
    matchMedia: () => ({matches: false, addEventListener() {}}), CSS: {escape: (words) => words.replace(/[^\w-]/g, "\\$&")},
    requestAnimationFrame: (work) => setTimeout(work, 0), devicePixelRatio: 1,
    ResizeObserver: class { observe() {} disconnect() {} },
    Image: class extends EventTarget { constructor() { super(); this.naturalWidth = 900; this.naturalHeight = 700; } set src(_) { setTimeout(() => this.dispatchEvent(new Event("load")), 0); } },
    DOMPoint: class { constructor(x, y) { this.x = x; this.y = y; } matrixTransform() { return this; } },
    EventSource: class extends EventTarget { constructor(path) { super(); listen(this, new URL(path, here), cookie); } },
    fetch: (path, options = {}) => realFetch(new URL(path, here), {...options, headers: {...(options.headers || {}), cookie, origin: here.origin}}),
  });
  if (!globalThis.addEventListener) globalThis.addEventListener = () => {};
  return document;
}
