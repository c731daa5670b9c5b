// What a field is filled in with, by its kind: a text, a list of words, boxes to tick, a file.
import {button, h} from "./dom.js";
import {row} from "./layout.js";

const DRAWINGS = ".svg,.dxf,.csv,.json";
const PICTURES = ".png,.jpg,.jpeg,.tif,.tiff,.bmp,.webp,.gif,.heic,.heif";
export const TAKEN = `${DRAWINGS},${PICTURES}`;
const LONG = 22;

// A value as it is typed: several numbers with blanks between, names of files and lengths with a unit may have blanks.
export function shown(value) {
  if (value === undefined || value === null) return "";
  if (!Array.isArray(value)) return String(value);
  return value.join(value.every((one) => typeof one === "number") ? " " : "; ");
}

// A table of the project as it is typed, some keys left out.
export function typedTable(table, without) {
  const given = Object.entries(table).filter(([key]) => !without.includes(key));
  return Object.fromEntries(given.map(([key, value]) => [key, typeof value === "boolean" ? value : shown(value)]));
}

const wordOf = (spec, word) => spec.choices[word] || word.replace(/_/g, " ");
const optionWords = (spec, word) => wordOf(spec, word) + (word === spec.default ? " (usual)" : "");

// Whether some word of a list needs a whole line.
export function isLong(spec) {
  return spec.kind === "choice" && spec.words.some((word) => optionWords(spec, word).length > LONG);
}

// {input, extra below it, boxes to tick, the box for none of them}; `does` is what they do.
export function parts(spec, does) {
  if (spec.kind === "choice") return {input: list(spec, does)};
  if (spec.kind === "yes_no") return {input: h("input", {id: does.id, type: "checkbox", onchange: does.commit})};
  if (spec.kind === "choices") return ticks(spec, does);
  const words = spec.words.length ? `${does.id}-words` : null,
    extra = words
      ? h("datalist", {id: words}, spec.words.map((word) => h("option", {value: word})))
      : spec.kind === "file"
        ? fileChooser(does)
        : null;
  return {input: typed(spec, words, does), extra};
}

function list(spec, {id, commit}) {
  const none = spec.required || spec.default ? [] : [h("option", {value: ""}, "–")],
    options = spec.words.map((word) => h("option", {value: word}, optionWords(spec, word)));
  return h("select", {id, onchange: commit}, none, options);
}

function ticks(spec, {id, commit, send}) {
  const boxes = spec.words.map((word) => h("input", {type: "checkbox", value: word, onchange: commit})),
    none = h("input", {type: "checkbox", onchange: () => send(none.checked ? [] : "")});
  const input = h(
    "div",
    {class: "ticks", role: "group", "aria-labelledby": `${id}-label`},
    spec.words.map((word, n) => h("label", {}, boxes[n], wordOf(spec, word))),
    h("label", {}, none, "none of these"),
  );
  return {input, boxes, none};
}

function fileChooser({label, accept, upload}) {
  const chooser = h("input", {
    type: "file",
    hidden: true,
    accept: accept || TAKEN,
    onchange: () => upload(chooser),
  });
  const press = button("Choose a file", () => chooser.click(), {"aria-label": `choose a file: ${label}`});
  return row(press, chooser);
}

function typed(spec, words, {id, commit, pressed}) {
  const nothing = spec.default === null || spec.default === undefined,
    hint = spec.required ? "" : "optional";
  return h("input", {
    id,
    type: "text",
    autocomplete: "off",
    list: words,
    spellcheck: "false",
    inputmode: spec.kind === "number" && !spec.words.length ? "decimal" : null,
    placeholder: nothing ? hint : shown(spec.default),
    onchange: commit,
    onkeydown: pressed,
  });
}
