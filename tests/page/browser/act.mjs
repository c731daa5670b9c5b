// Do the whole job as a person would: node act.mjs ADDRESS COOKIE WEB-FOLDER PICTURE PICTURE. Prints what was seen as JSON.
import {readFileSync} from "node:fs";
import {pathToFileURL} from "node:url";
import {browser} from "./document.mjs";

const [address, cookie, web, ...pictures] = process.argv.slice(2), seen = {errors: []};
const document = browser(address, cookie), id = (name) => document.getElementById(name), controls = id("controls"), view = id("view");
process.on("unhandledRejection", (error) => seen.errors.push(String((error && error.stack) || error)));
const pause = (ms) => new Promise((done) => setTimeout(done, ms));
const inside = (root, tag) => root.all().filter((one) => one.tagName === tag);
const press = (words, root = document) => { const b = inside(root, "BUTTON").find((one) => one.textContent.includes(words)); if (!b) throw new Error(`no button says ${words}`); b.click(); };
const step = async (name) => { inside(id("steps"), "BUTTON").find((b) => b.dataset.step === name).click(); await pause(100); };
const field = (key) => { const box = controls.querySelector(`[data-key="${CSS.escape(key)}"]`); if (!box) throw new Error(`no field ${key}`); return inside(box, "INPUT").concat(inside(box, "SELECT"))[0]; };
const tell = (node, kind, more = {}) => node.dispatchEvent(Object.assign(new Event(kind), more));

async function until(what, there) {
  for (let n = 0; n < 1200; n++) { if (there()) return; await pause(50); }
  throw new Error(`never came: ${what}; ${id("trouble").textContent} ${controls.textContent.slice(0, 400)}`);
}

async function type(key, value) {
  const input = field(key);
  document.activeElement = input;
  input.value = value;
  tell(input, "change");
  document.activeElement = null;
  await until(`${key} saved`, () => id("undo").title.startsWith("Undo") && String(input.value) === value && !input.attributes["aria-invalid"]?.includes("true") && id("saved").textContent.includes("Saved"));
  await pause(150);
}

await import(pathToFileURL(`${web}/main.js`));
await until("the first step", () => controls.childNodes.length);
seen.begins = document.title;
const chooser = inside(controls, "INPUT").find((one) => one.attributes.type === "file");
chooser.files = pictures.map((path) => new File([readFileSync(path)], path.split("/").pop()));
tell(chooser, "change");
await until("two pictures", () => inside(controls, "BUTTON").filter((b) => b.attributes["aria-pressed"] !== undefined && /^(low|broad)/.test(b.textContent)).length === 2);
await until("a scale", () => controls.textContent.includes("Scale: "));
seen.outline = controls.textContent.match(/The outline is piece[^.]*\.\d*[^.]*\./)?.[0] || controls.textContent.match(/There are \d+ outlines/)?.[0];
const canvas = inside(view, "CANVAS")[0], image = {x: 300, y: 200};
for (const kind of ["pointermove", "pointerdown", "pointerup"]) tell(canvas, kind, {pointerId: 1, clientX: image.x, clientY: image.y});
await until("the piece is chosen by a point", () => id("undo").title.includes("piece of"));
id("undo").click();
await pause(600);

await step("measure");
for (const [key, value] of [["section[1].height", "2"], ["section[1].width", "28.55"], ["section[1].depth", "21.3"]]) await type(key, value);
for (const [key, value] of [["section[2].height", "28"], ["section[2].width", "57"], ["section[2].depth", "43.25"]]) await type(key, value);
await until("the residual", () => controls.textContent.includes("mm drawn, 57 read"));
seen.residual = controls.textContent.match(/width [\d.]+ mm drawn, 57 read: [^;]*/)[0];
await step("holder");
const bad = field("block.wall");
bad.value = "-3"; tell(bad, "change");
await until("the mistake beside its field", () => bad.attributes["aria-invalid"] === "true");
seen.mistake = bad.closest(".field").textContent;
bad.value = ""; tell(bad, "change");
await type("block.height", "24");
await until("the holder", () => view.textContent.includes("clearance per side"));
seen.found = view.textContent.includes("What was found");
press("Go to", view);
await step("fit");
await until("the chance", () => controls.textContent.includes("chance that it goes in"));
const slider = inside(controls, "INPUT").find((one) => one.attributes.type === "range"), begun = performance.now();
slider.value = "0.8"; tell(slider, "input");
seen.glance = {words: inside(controls, "P").find((p) => p.classList.contains("glance")).textContent, ms: performance.now() - begun};
tell(slider, "change");
await until("the clearance saved", () => id("undo").title.includes("clearance"));
await until("the rings", () => inside(controls, "BUTTON").some((b) => b.classList.contains("ring")));
inside(controls, "BUTTON").find((b) => b.classList.contains("ring")).click();
await pause(100);
press("tight", controls);
await until("the trial noted", () => controls.textContent.includes(": tight"));
await step("stack");
await until("the ellipses", () => inside(view, "ELLIPSE").length >= 2);
controls.querySelectorAll(".card")[0].dispatchEvent(new Event("pointerdown"));
await pause(100);
const body = inside(view, "PATH").find((one) => one.attributes.role === "button");
tell(body, "pointerdown", {pointerId: 1, clientX: 0, clientY: 0});
tell(body, "pointermove", {pointerId: 1, clientX: 1.5, clientY: 0.5});
tell(body, "pointerup", {pointerId: 1, clientX: 1.5, clientY: 0.5});
await until("the shift saved", () => id("undo").title.includes("moved"));
await step("outline");
press("Move its points", controls);
await until("the handles", () => inside(view, "CIRCLE").length > 10);
seen.handles = inside(view, "CIRCLE").length;
tell(inside(view, "CIRCLE")[3], "keydown", {key: "ArrowRight"});
press("Save the outline", view);
await until("the drawing", () => id("undo").title.includes("points of"));
await step("fit");
press("Make the holder’s files", controls);
await until("the files", () => inside(controls, "A").some((a) => (a.attributes.href || "").endsWith("holder.stl")));
seen.files = inside(controls, "A").map((a) => a.attributes.href).filter((href) => href.startsWith("/file/"));
for (seen.undone = []; !id("undo").disabled; ) {
  const now = id("undo").title.replace("Undo: ", "");
  seen.undone.push(now);
  id("undo").click();
  await until(`${now} undone`, () => id("saved").textContent.includes(`${now}: undone`) || id("undo").disabled);
  await pause(120);
}
console.log(JSON.stringify(seen));
process.exit(seen.errors.length ? 1 : 0);
