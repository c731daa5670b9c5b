// Pointers on an element: one finger or the mouse moves, two fingers or the wheel change the size.
export function fingers(element, {moved, enlarged}) {
  const down = new Map();
  let apart = 0;
  element.addEventListener("pointerdown", (event) => {
    down.set(event.pointerId, event);
    element.setPointerCapture(event.pointerId);
    apart = 0;
  });
  element.addEventListener("pointermove", (event) => {
    const before = down.get(event.pointerId);
    if (!before) return;
    if (down.size === 1) moved(event.clientX - before.clientX, event.clientY - before.clientY);
    down.set(event.pointerId, event);
    if (down.size !== 2) return;
    const [a, b] = [...down.values()],
      now = Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY);
    if (apart) enlarged(now / apart);
    apart = now;
  });
  for (const name of ["pointerup", "pointercancel"])
    element.addEventListener(name, (event) => {
      down.delete(event.pointerId);
      apart = 0;
    });
  const wheel = (event) => {
    event.preventDefault();
    enlarged(Math.exp(-event.deltaY * 0.001));
  };
  element.addEventListener("wheel", wheel, {passive: false});
}
