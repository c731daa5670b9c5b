// Dragging in an upright plot: told where the pointer is, in mm, from its press to its release.
export function drag(event, upright, {moved, done}) {
  event.preventDefault();
  const target = event.currentTarget;
  target.setPointerCapture(event.pointerId);
  const start = placeIn(upright, event),
    follow = (e) => moved(placeIn(upright, e), start);
  const end = (e) => {
    target.removeEventListener("pointermove", follow);
    for (const name of ["pointerup", "pointercancel"]) target.removeEventListener(name, end);
    done(e.type === "pointerup");
  };
  target.addEventListener("pointermove", follow);
  for (const name of ["pointerup", "pointercancel"]) target.addEventListener(name, end);
}

// Where the pointer is, [x, y] in mm.
export function placeIn(upright, {clientX, clientY}) {
  const {x, y} = new DOMPoint(clientX, clientY).matrixTransform(upright.getScreenCTM().inverse());
  return [x, y];
}

// The step of an arrow key as [dx, dy] with y upwards; null for other keys.
export function arrow(event) {
  const ways = {ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1]};
  return ways[event.key] || null;
}
