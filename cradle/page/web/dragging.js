// Dragging: from the press of a pointer to its release "moved" is told where it is, where it began, and the event;
// then "done". "locate" tells the place of an event, "target" is what the pointer holds.
export function drag(event, locate, {target = event.currentTarget, moved, done}) {
  event.preventDefault();
  target.setPointerCapture(event.pointerId);
  const start = locate(event),
    follow = (e) => moved(locate(e), start, e);
  const end = () => {
    target.removeEventListener("pointermove", follow);
    for (const name of ["pointerup", "pointercancel"]) target.removeEventListener(name, end);
    done();
  };
  target.addEventListener("pointermove", follow);
  for (const name of ["pointerup", "pointercancel"]) target.addEventListener(name, end);
}

// Where the pointer is in an upright plot, [x, y] in mm.
export function placeIn(upright, {clientX, clientY}) {
  const {x, y} = new DOMPoint(clientX, clientY).matrixTransform(upright.getScreenCTM().inverse());
  return [x, y];
}

// The step of an arrow key as [dx, dy] with y upwards; null for other keys.
export function arrow(event) {
  const ways = {ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1]};
  return ways[event.key] || null;
}
