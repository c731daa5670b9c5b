// What was typed into fields and refused, by the key of its field. It goes with its table where tables change places,
// and waits for its field where that is made anew.

export class Refusals {
  constructor() {
    this.all = new Map();
  }

  of(key) {
    return this.all.get(key);
  }

  // {value as it was sent, what the project keeps instead, problems}; nothing is kept before the answer is there.
  hold(key, value) {
    const refusal = {value, kept: null, problems: []};
    this.all.set(key, refusal);
    return refusal;
  }

  drop(refusal) {
    for (const [key, one] of this.all) if (one === refusal) this.all.delete(key);
  }

  // A table is taken out with all that was typed into it.
  leave(table) {
    for (const key of this.all.keys()) if (key.startsWith(table)) this.all.delete(key);
  }

  // The project's values have changed: each refusal goes with its table.
  move(before, after) {
    const moved = new Map();
    for (const [key, refusal] of this.all) {
      const [, name, number, rest] = key.match(/^(\w+)\[(\d+)\](.*)$/) || [];
      const place = name ? this.placesNow(name, before[name] || [], after[name] || [])[number - 1] : null;
      if (place !== undefined) moved.set(name ? `${name}[${place + 1}]${rest}` : key, refusal);
    }
    this.all = moved;
  }

  // The place of each table in the later list; none where it is gone. Tables that say the same are the same, those
  // where something was refused first; of the others as many as before were changed, and kept their order.
  placesNow(name, before, after) {
    const said = after.map((one) => JSON.stringify(one)),
      free = new Set(said.keys()),
      held = (n) => [...this.all.keys()].some((key) => key.startsWith(`${name}[${n + 1}]`)),
      places = [];
    for (const n of [...before.keys()].sort((a, b) => held(b) - held(a))) {
      const place = [...free].find((at) => said[at] === JSON.stringify(before[n]));
      if (place !== undefined) places[n] = place;
      free.delete(place);
    }
    const changed = [...before.keys()].filter((n) => places[n] === undefined);
    if (changed.length === free.size) [...free].forEach((place, n) => (places[changed[n]] = place));
    return places;
  }
}
