// The points of an outline as they are moved, added and taken away, with an undo of their own until they are saved.
const LEAST = 3;

// Every n-th point is not enough: those that matter most to the shape stay
// (Visvalingam and Whyatt 1993: the least triangle goes first).
export function thinned(ring, most) {
  const points = ring.map((p) => [...p]);
  const weight = (n) => {
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

export class OutlinePoints {
  constructor(ring, most) {
    this.points = thinned(ring, most);
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
    const a = this.points[this.chosen],
      b = this.points[(this.chosen + 1) % this.points.length];
    this.insert(this.chosen, [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2]);
  }

  insert(behind, place) {
    this.keep();
    this.points.splice(behind + 1, 0, place);
    this.chosen = behind + 1;
  }

  // Whether the chosen point could be taken away.
  remove() {
    if (this.points.length <= LEAST) return false;
    this.keep();
    this.points.splice(this.chosen, 1);
    this.chosen = Math.min(this.chosen, this.points.length - 1);
    return true;
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
      const b = this.points[(n + 1) % this.points.length],
        [dx, dy] = [b[0] - a[0], b[1] - a[1]],
        t = Math.max(0, Math.min(1, ((x - a[0]) * dx + (y - a[1]) * dy) / (dx * dx + dy * dy || 1))),
        far = Math.hypot(x - a[0] - t * dx, y - a[1] - t * dy);
      if (far < low) [low, best] = [far, n];
    });
    return best;
  }
}
