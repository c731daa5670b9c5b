// What is being computed: the step it is at, how long it has taken, and of a holder how long it took last time and a way
// to stop it.
import {button, h} from "./dom.js";

const TICK = 250,
  WORTH_TELLING = 1.5;

export function showWork(desk, element) {
  let doing = "",
    began = 0,
    usual = 0,
    timer = 0;
  const name = h("span", {class: "at-work"}),
    bar = h("progress", {"aria-hidden": "true"}),
    time = h("span", {"aria-hidden": "true"}),
    stop = button("Stop", () => desk.post("/stop", {}));

  const seconds = () => (performance.now() - began) / 1000;

  // What is read at once is not told.
  function tick() {
    const building = doing === "building";
    if (!building && !element.firstChild) element.replaceChildren(name, time);
    if (building && usual > WORTH_TELLING) bar.setAttribute("value", Math.min(0.98, seconds() / usual));
    time.textContent = seconds() < WORTH_TELLING ? "" : timeWords(seconds(), building ? usual : 0);
  }

  function begin(now) {
    if (doing === "building" && !desk.stopped) usual = seconds();
    doing = now;
    began = performance.now();
    clearInterval(timer);
    timer = now ? setInterval(tick, TICK) : 0;
    bar.removeAttribute("value");
    time.textContent = "";
    // what is pressed stands where no words move it
    element.replaceChildren(...(now === "building" ? [stop, name, bar, time] : []));
  }

  function follow() {
    const {step, building, reading} = desk.progress,
      now = step || building ? "building" : reading ? "reading" : "";
    if (now !== doing) begin(now);
    if (now) name.textContent = `${step || (building ? "building the holder" : reading)} …`;
  }

  desk.on({progress: follow});
  follow();
}

function timeWords(seconds, usual) {
  const now = `${Math.round(seconds)} s`;
  return usual > WORTH_TELLING ? `${now}, last time ${Math.round(usual)} s` : now;
}
