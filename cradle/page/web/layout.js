// What the steps are laid out with, beside the elements themselves: small print, a row of what is pressed, a group that is unfolded.
import {h} from "./dom.js";

export const small = (...words) => h("p", {class: "small"}, ...words);
export const row = (...pressed) => h("div", {class: "row"}, ...pressed);
export const group = (title, open, ...inside) => h("details", {class: "group", open}, h("summary", {}, title), ...inside);
