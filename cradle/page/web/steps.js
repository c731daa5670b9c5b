// The steps in their order. A step is {id, title, show({desk, controls, view, found, go})};
// show fills the elements and returns {leave(), reveal(key)}, both of which may be left out.
import {fit} from "./steps/fit.js";
import {holder} from "./steps/holder.js";
import {measure} from "./steps/measure.js";
import {outline} from "./steps/outline.js";
import {stack} from "./steps/stack.js";

export const STEPS = [outline, measure, stack, holder, fit];
