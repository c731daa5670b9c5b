// The field that a finding or a mistake is about, the step it stands in, and words for it.
import {button, h, short} from "./dom.js";
import {addAt} from "./new_section.js";
import {nameOf, sections} from "./sections.js";

const STEPS = {section: "measure", side: "measure", view: "measure", loft: "stack", fit: "fit", test_pieces: "fit"};
export const LEAN = "lean-not-known";
export const HOW_IT_LEANS = {step: "measure", key: "side.front", words: "how it leans"};
const OPENING = /opening\[(\d+)\](?!\.)/g;

export function stepOf(where) {
  return STEPS[where.split(/[.[]/)[0]] || "holder";
}

// Its key, its step, and words for it; null where there is none.
export function fieldOf(desk, where) {
  if (!where) return null;
  const number = desk.state.places[where];
  if (number) {
    const words = nameOf(sections(desk)[number - 1], number);
    return {key: `section[${number}].height`, step: "measure", words};
  }
  const [opening] = openingsOf(where);
  if (opening) return {...opening, words: where.replace(OPENING, "opening $1")};
  const table = where.split(/[.[]/)[0];
  if (!(table in desk.schema) || !where.includes(".")) return null;
  return {key: where, step: stepOf(where), words: wordsOf(desk, where)};
}

// The openings as a whole that a finding is about.
function openingsOf(where) {
  return [...where.matchAll(OPENING)].map(([key, n]) => ({key, step: "holder", words: `opening ${n}`}));
}

// The ways that a finding leads, as a row of buttons; null where there is none. `show` points at a place of the holder.
export function waysOf(context, finding, show) {
  const {desk, go} = context,
    ways = fieldsOf(desk, finding).map((to) =>
      button(`Go to ${to.words}`, () => go(to.step, to.key), {class: "plain"}),
    );
  ways.push(...wayToBegin(context, finding));
  if (finding.at) ways.push(button("Show the place", () => show(finding.at), {class: "plain"}));
  return ways.length ? h("span", {class: "row"}, ways) : null;
}

// Where a section more is advised, the button that begins it at that height.
export function wayToBegin(context, {begin}) {
  if (!begin) return [];
  return [button(`Begin the section at ${short(begin)} mm`, () => addAt(context, begin), {class: "plain"})];
}

// To the field it is about, and to measuring where that is what it advises; what stands in another thing's project none leads to.
function fieldsOf(desk, {code, where, own}) {
  if (own === false) return [];
  const field = fieldOf(desk, where),
    measure = {step: "measure", words: "Measure"};
  if (code === LEAN) return [HOW_IT_LEANS];
  if (code === "clearance-not-enough") return [measure];
  const openings = where ? openingsOf(where) : [];
  return [...(code === "chance-low" ? [measure] : []), ...(openings.length ? openings : field ? [field] : [])];
}

// A key as people say it: "section[2].height" is "height of rim", "opening[1].at" is "place of opening 1"; a file's name as it is.
export function wordsOf(desk, key) {
  const [first, ...inside] = key.split("."),
    [, table, number] = first.match(/^(\w+)(?:\[(\d+)\])?$/) || [null, first, null],
    known = desk.schema[table],
    one = number && table === "section" ? nameOf(sections(desk)[number - 1], number) : `${table} ${number}`;
  if (!known && !number) return key;
  if (!inside.length) return number ? one : known.title;
  const label = labelOf(desk, known, inside, `${table}[${number}]`);
  return number ? `${label} of ${one}` : label;
}

// A problem with its place, where it is not told beside that.
export function placed(desk, problem) {
  return `${problem.where ? `${wordsOf(desk, problem.where)}: ` : ""}${problem.words}`;
}

function labelOf(desk, known, inside, place) {
  const last = inside[inside.length - 1],
    {kinds, by} = known || {},
    kind = kinds ? kinds[desk.value(`${place}.${by}`)] : null,
    within = inside.length > 1 && known && known.inside ? known.inside[inside[0]] : known,
    fields = (kind || within || {fields: []}).fields,
    field = fields.find((f) => f.key === last.replace(/\[\d+\]$/, ""));
  return field ? field.label : last.replace(/_/g, " ");
}
