// The points of an outline as they are moved, added and taken away, with an undo of their own until they are saved.
const LEAST = 3;

// Every n-th point is not enough: those that matter most to the shape stay
// (Visvalingam and Whyatt 1993: the least triangle goes first).
function thinned(ring, most, open = false) {
  const points = ring.map((p) => [...p]);
  const weight = (n) => {
    if (open && (n === 0 || n === points.length - 1)) return Infinity;
    const a = points[(n + points.length - 1) % points.length],
      b = points[n],
      c = points[(n + 1) % points.length];
    return Math.abs((b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1]));
  };
  while (points.length > most) {
    let least = 0,
      low = Infinity;
    for (let n = 0; n < points.length; n++) {
      const w = weight(n);
      if (w < low) [low, least] = [w, n];
    }
    points.splice(least, 1);
  }
  return points;
}

// The same ring from one of its ends to the other: they are neighbours, with nothing but the closing line between.
function fromEndToEnd(ring, ends) {
  const nearest = ([x, y]) => {
      const far = ring.map((p) => Math.hypot(p[0] - x, p[1] - y));
      return far.indexOf(Math.min(...far));
    },
    [first, last] = ends.map(nearest),
    start = (first + 1) % ring.length === last ? last : first;
  return [...ring.slice(start), ...ring.slice(0, start)];
}

// With "ends" the outline is one half: what closes it is no line of its own, and cannot be pressed.
export class OutlinePoints {
  constructor(ring, most, ends = null) {
    this.open = Boolean(ends);
    this.points = thinned(ends ? fromEndToEnd(ring, ends) : ring, most, this.open);
    this.chosen = 0;
    this.done = [];
    this.undone = [];
  }

  // Remember how it is now, before it is changed.
  keep() {
    this.done.push(this.points.map((p) => [...p]));
    this.undone = [];
  }

  move(n, place) {
    this.points[n] = place;
  }

  // A point in the middle behind the chosen one, chosen from then on.
  add() {
    const before = this.open ? Math.min(this.chosen, this.points.length - 2) : this.chosen,
      a = this.points[before],
      b = this.points[(before + 1) % this.points.length];
    this.insert(before, [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2]);
  }

  insert(behind, place) {
    this.keep();
    this.points.splice(behind + 1, 0, place);
    this.chosen = behind + 1;
  }

  // Take the chosen point away; why it has to stay, or nothing.
  remove() {
    if (this.points.length <= LEAST) return "An outline has at least three points.";
    if (this.open && (this.chosen === 0 || this.chosen === this.points.length - 1))
      return "This is an end of the half: it can be moved, but not taken away.";
    this.keep();
    this.points.splice(this.chosen, 1);
    this.chosen = Math.min(this.chosen, this.points.length - 1);
    return "";
  }

  back() {
    this.swap(this.done, this.undone);
  }

  again() {
    this.swap(this.undone, this.done);
  }

  swap(from, to) {
    if (!from.length) return;
    to.push(this.points);
    this.points = from.pop();
    this.chosen = Math.min(this.chosen, this.points.length - 1);
  }

  // The stretch of the outline nearest to a place: the number of its first point.
  nearestStretch([x, y]) {
    let best = 0,
      low = Infinity;
    this.points.forEach((a, n) => {
      if (this.open && n === this.points.length - 1) return;
      const b = this.points[(n + 1) % this.points.length],
        [dx, dy] = [b[0] - a[0], b[1] - a[1]],
        t = Math.max(0, Math.min(1, ((x - a[0]) * dx + (y - a[1]) * dy) / (dx * dx + dy * dy || 1))),
        far = Math.hypot(x - a[0] - t * dx, y - a[1] - t * dy);
      if (far < low) [low, best] = [far, n];
    });
    return best;
  }
}
