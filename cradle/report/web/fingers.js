// Pointers on an element: one finger or the mouse moves or presses, two fingers, the wheel or a key change the size.
export const BY_KEY = {"+": 1.25, "-": 0.8};
const WHEEL = 0.0015,
  STILL = 5;

// Where an event is in an element.
export function placeIn(element, event) {
  const box = element.getBoundingClientRect();
  return [event.clientX - box.left, event.clientY - box.top];
}

// Tells moved(dx, dy), enlarged(by, x, y) and pressed(x, y), places in the element around, whose wheel counts too; where a
// press counts nothing moves before the pointer has gone some px.
export function fingers(element, {moved, enlarged, pressed = null, around = element}) {
  const down = new Map();
  let start = null,
    apart = 0,
    dragged = false;
  element.addEventListener("pointerdown", (event) => {
    element.setPointerCapture(event.pointerId);
    start = placeIn(around, event);
    down.set(event.pointerId, start);
    apart = 0;
    dragged = !pressed || down.size > 1;
  });
  element.addEventListener("pointermove", (event) => {
    const before = down.get(event.pointerId),
      now = placeIn(around, event);
    if (!before) return;
    down.set(event.pointerId, now);
    if (down.size === 2) {
      const [a, b] = [...down.values()],
        far = Math.hypot(a[0] - b[0], a[1] - b[1]);
      if (apart) enlarged(far / apart, (a[0] + b[0]) / 2, (a[1] + b[1]) / 2);
      apart = far;
    } else if (dragged || Math.hypot(now[0] - start[0], now[1] - start[1]) > STILL) {
      dragged = true;
      if (down.size === 1) moved(now[0] - before[0], now[1] - before[1]);
    }
  });
  for (const name of ["pointerup", "pointercancel"])
    element.addEventListener(name, (event) => {
      if (!down.delete(event.pointerId)) return;
      apart = 0;
      if (name === "pointerup" && !dragged) pressed(...placeIn(around, event));
    });
  const wheel = (event) => {
    event.preventDefault();
    enlarged(Math.exp(-event.deltaY * WHEEL), ...placeIn(around, event));
  };
  around.addEventListener("wheel", wheel, {passive: false});
}
