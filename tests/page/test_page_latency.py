"""How long the page lets people wait, in a real browser before the page as it is served; prints, asserts no time."""

import os
import re
import shutil
import signal
import statistics
import subprocess
import sys
import time
from contextlib import contextmanager

import pytest
from made_demos import DEMOS
from visitor import Visitor, needs_browser

pytestmark = [needs_browser, pytest.mark.speed]
TIMES = int(os.environ.get("CRADLE_TIMES", "50"))
FRAMES = """() => {
  window.waits = [];
  addEventListener("pointermove", (event) => {
    const began = event.timeStamp;
    requestAnimationFrame(() => setTimeout(() => window.waits.push(performance.now() - began)));
  }, true);
}"""
GLANCE = """() => {
  const slider = document.querySelector("#controls input[type=range]");
  slider.value = String(0.2 + 0.8 * Math.random());
  const began = performance.now();
  slider.dispatchEvent(new Event("input", {bubbles: true}));
  return new Promise((done) => requestAnimationFrame(() => setTimeout(() => done(performance.now() - began))));
}"""

STATUSES = """() => {
  window.said = [];
  const status = document.querySelector("#view .status");
  new MutationObserver(() => window.said.push([performance.now(), status.textContent]))
    .observe(status, {childList: true, characterData: true, subtree: true});
}"""
LET_GO = """(clearance) => {
  const slider = document.querySelector("#controls input[type=range]");
  slider.value = String(clearance);
  slider.dispatchEvent(new Event("input"));
  slider.dispatchEvent(new Event("change"));
  return performance.now();
}"""


@contextmanager
def command(file):
    """``cradle page`` as a process of its own, with its workers."""
    code = "from cradle.cli.main import main; import sys; sys.exit(main(sys.argv[1:]))"
    port = str(20000 + os.getpid() % 20000)
    line = [sys.executable, "-c", code, "page", str(file), "--port", port, "--no-open"]
    with subprocess.Popen(line, stdout=subprocess.PIPE, text=True) as process:
        try:
            found = (re.search(r"http://\S+", text) for text in process.stdout)
            yield next(match[0] for match in found if match)
        finally:
            process.send_signal(signal.SIGINT)
            process.wait(20)


def say(words):
    sys.stdout.write(words + "\n")


def tell(what, waits_ms):
    ordered = sorted(waits_ms)
    worst = ordered[min(len(ordered) - 1, round(0.95 * (len(ordered) - 1)))]
    say(f"{what}: median {statistics.median(ordered):.0f} ms, 95th {worst:.0f} ms, of {len(ordered)}")


def shown_after(person, act, condition):
    began = time.monotonic()
    act()
    person.until("it is shown", condition)
    return 1000 * (time.monotonic() - began)


def test_how_long_the_page_lets_people_wait_is_told(tmp_path, chromium):
    shutil.copytree(DEMOS / "ocarina", tmp_path / "ocarina")
    with command(tmp_path / "ocarina" / "holder.toml") as address:
        context = chromium.new_context(viewport={"width": 1366, "height": 768})
        person = Visitor(context, address)
        person.built()
        there = "document.querySelector('#view .status')?.textContent.includes('clearance per side')"
        first = [
            shown_after(person, lambda: person.page.goto(address + "#holder"), there) for _ in range(TIMES)
        ]
        tell("first view: address to holder, figures and fields", first)

        person.go("fit")
        person.says("#controls", "chance that it goes in")
        tell("clearance moved to chance and cause", [person.ask(GLANCE) for _ in range(TIMES)])
        person.ask(STATUSES)
        rough, fine = [], []
        for n in range(TIMES):
            began = person.ask(LET_GO, 0.3 + 0.01 * (n % 40 + 1))
            said = f"window.said.find(([at, words]) => at > {began} && words.includes('%s'))"
            person.until("the holder", f"Boolean({said % 'clearance per side'})")
            fine.append(person.ask(said % "clearance per side")[0] - began)
            early = person.ask(said % "first holder")
            rough.append(early[0] - began if early else fine[-1])
        tell("clearance let go to a first holder", rough)
        tell("clearance let go to the holder, measured and judged", fine)

        for step, what in (("outline", "point"), ("stack", "shift")):
            person.go(step)
            if step == "outline":
                person.press("Move its points")
            target = person.page.locator("#view .handle:not(.large), #view path.mine[role=button]").first
            target.wait_for()
            person.ask(FRAMES)
            box = target.bounding_box()
            x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
            person.page.mouse.move(x, y)
            person.page.mouse.down()
            for n in range(TIMES):
                person.page.mouse.move(x + n % 7, y + n % 5)
            person.until("all moves", f"window.waits.length >= {TIMES // 2}")
            tell(f"{what} dragged to its new place drawn", person.ask("window.waits")[:TIMES])
            before, began = person.revision(), time.monotonic()
            person.page.mouse.move(x + 12, y + 4)
            person.page.mouse.up()
            if step == "stack":
                person.until(
                    "placed", f"fetch('/sections').then((a) => a.json()).then((s) => s.revision > {before})"
                )
                say(
                    f"shift let go to all sections placed anew: {1000 * (time.monotonic() - began):.0f} ms, once"
                )
        context.close()
