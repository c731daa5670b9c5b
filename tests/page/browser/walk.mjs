// Walk through all steps of a page that is served: node walk.mjs ADDRESS COOKIE WEB-FOLDER. Prints what was seen as JSON.
import {pathToFileURL} from "node:url";
import {browser} from "./document.mjs";

const [address, cookie, web] = process.argv.slice(2), seen = {steps: {}, errors: []};
const document = browser(address, cookie);
process.on("unhandledRejection", (error) => seen.errors.push(String(error && error.stack || error)));
const pause = (ms) => new Promise((done) => setTimeout(done, ms));
const id = (name) => document.getElementById(name);

async function settled(there) {
  for (let n = 0; n < 1200 && !there(); n++) await pause(50);
  if (!there()) throw new Error("it never came");
}

await import(pathToFileURL(`${web}/main.js`));
await settled(() => id("controls").childNodes.length);
for (const b of [...id("steps").all()]) {
  b.click();
  await pause(400);
  const controls = id("controls"), inputs = controls.all().filter((one) => ["INPUT", "SELECT"].includes(one.tagName) && !one.hidden);
  const labelled = inputs.filter((one) => one.attributes["aria-label"] || one.closest("label") || controls.all().some((l) => l.tagName === "LABEL" && l.attributes.for === one.id));
  seen.steps[b.dataset.step] = {
    words: controls.textContent.length, view: id("view").textContent.length, svg: id("view").all().filter((one) => one.tagName === "SVG").length,
    inputs: inputs.length, labelled: labelled.length,
    unnamed: controls.all().concat(id("view").all()).filter((one) => one.tagName === "BUTTON" && !one.textContent.trim() && !one.attributes["aria-label"]).length,
    keys: controls.all().map((one) => one.attributes["data-key"]).filter(Boolean),
  };
}
console.log(JSON.stringify(seen));
process.exit(seen.errors.length ? 1 : 0);
