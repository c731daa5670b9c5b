// What is being computed: the step it is at, how long it has taken, how long it took last time, and a way to stop it.
import {button, h} from "./dom.js";

const TICK = 250,
  WORTH_TELLING = 1.5;

export function showWork(desk, element) {
  let began = 0,
    usual = 0,
    timer = 0;
  const name = h("span", {class: "at-work"}),
    bar = h("progress", {"aria-hidden": "true"}),
    time = h("span", {"aria-hidden": "true"}),
    stop = button("Stop", () => desk.post("/stop", {}));

  function tick() {
    const seconds = (performance.now() - began) / 1000;
    if (usual > WORTH_TELLING) bar.setAttribute("value", Math.min(0.98, seconds / usual));
    time.textContent = seconds < WORTH_TELLING ? "" : timeWords(seconds, usual);
  }

  function follow() {
    const {step, building} = desk.progress,
      busy = Boolean(step || building);
    if (busy && !timer) {
      began = performance.now();
      bar.removeAttribute("value");
      time.textContent = "";
      timer = setInterval(tick, TICK);
      element.replaceChildren(stop, name, bar, time);  // what is pressed stands where no words move it
    }
    if (busy) name.textContent = `${step || "building the holder"} …`;
    if (!busy && timer) {
      clearInterval(timer);
      timer = 0;
      if (!desk.stopped) usual = (performance.now() - began) / 1000;
      element.replaceChildren();
    }
  }

  desk.on("progress", follow);
  follow();
}

function timeWords(seconds, usual) {
  const now = `${Math.round(seconds)} s`;
  return usual > WORTH_TELLING ? `${now}, last time ${Math.round(usual)} s` : now;
}
