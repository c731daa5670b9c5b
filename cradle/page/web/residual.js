// Readings against the outline, in mm and percent: told while they are typed.
import {short} from "./dom.js";

const CLOSE = 3; // percent; beyond it the project warns
const COMMA = /^(?![+-]?[1-9]\d*,\d{3}$)([+-]?\d*),(\d+)$/; // 1,234 may be thousands: that is asked

// One line for the width and one for the depth; "read" are the readings in mm, null where there is none. How wide the
// whole is that was drawn as a half, and how far a sheet lay askew, are known once it is placed.
export function residualLines(section, read) {
  if (!section.size) return [];
  return ["width", "depth"].map((word, n) => {
    const ofHalf = section.half && n === 0,
      halfAlone = ofHalf && !section.placed,
      drawn = section.placed ? section.placed.traced[n] : section.size[n],
      given = halfAlone ? null : read[n];
    if (!(given > 0)) return {words: `${word}${halfAlone ? " of the half" : ""}: ${short(drawn)} mm as drawn`, far: false};
    const more = +(given - drawn).toFixed(2),
      percent = short(100 * Math.abs(given / drawn - 1), 1),
      sign = more > 0 ? "+" : more < 0 ? "−" : "±";
    return {
      words:
        `${word}: ${short(drawn)} mm drawn, ${short(given)} read: ` +
        `${sign}${short(Math.abs(more))} mm (${percent === "0" ? "" : sign}${percent} %)`,
      far: Number(percent) > CLOSE,
    };
  });
}

// A length that is typed as a plain number of mm, with a point or a comma; undefined where it is none or has a unit of its own.
export function typedLength(text) {
  const words = text.trim().replace(COMMA, "$1.$2");
  if (!words) return null;
  return /^[+-]?(\d+\.?\d*|\.\d+)$/.test(words) ? Number(words) : undefined;
}
