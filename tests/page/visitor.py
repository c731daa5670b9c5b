"""A real browser on the page, driven as a person would: pressing, typing, dragging, looking."""

import io
import time

import pytest
from browser import CHROMIUM, OPTIONS
from PIL import Image

try:
    from playwright.sync_api import sync_playwright
except ImportError:  # the extra "test" brings it
    sync_playwright = None

WHY_NOT = (
    "Chromium is not installed"
    if CHROMIUM is None
    else "playwright is not installed"
    if not sync_playwright
    else ""
)
needs_browser = pytest.mark.skipif(bool(WHY_NOT), reason=f"the page is not looked at in a browser: {WHY_NOT}")
STEPS = ("outline", "measure", "stack", "holder", "fit")
PATIENCE_S = 120.0
_LOOK_S = 0.1
# Software drawing, nothing fetched, nothing kept: the same on every machine, and no network.
_OPTIONS = [
    *OPTIONS,
    "--use-gl=angle",
    "--use-angle=swiftshader",
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1, EXCLUDE localhost",
]
_NO_FAULT = (
    "GPU stall due to ReadPixels",  # said of screenshots of a drawing by software
    "the server responded with a status of 409",  # refusals, which the page tells in words of its own
    "the server responded with a status of 400",
    "the server responded with a status of 413",
    "the server responded with a status of 422",
)
# What the page still waits for: requests on their way, answers being read, and what it does after a pause.
_WAITING = """(() => {
  const waits = new Set(), {fetch, setTimeout, clearTimeout, EventSource} = window;
  const waiting = (one) => {
    const done = () => waits.delete(one);
    waits.add(one);
    one.then(done, done);
    return one;
  };
  window.begun = 0;
  window.fetch = (...asked) => { window.begun += 1; return waiting(fetch(...asked)); };
  for (const how of ["json", "text", "blob", "arrayBuffer"]) {
    const read = Response.prototype[how];
    Response.prototype[how] = function () { return waiting(read.call(this)); };
  }
  window.setTimeout = (act, ms, ...given) => {
    const one = setTimeout(() => { waits.delete(one); act(...given); }, ms);
    waits.add(one);
    return one;
  };
  window.clearTimeout = (one) => { waits.delete(one); clearTimeout(one); };
  window.lastMark = 0;
  window.EventSource = class extends EventSource {
    constructor(...given) {
      super(...given);
      this.addEventListener("mark", (event) => { window.lastMark = JSON.parse(event.data).mark; });
    }
  };
  window.isWaiting = () => waits.size > 0 || [...document.images].some((one) => !one.complete);
})();"""
# What is shown after two frames, and how many requests were begun so far; nothing while the page waits.
_AT_REST = """async () => {
  await new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)));
  return isWaiting() ? null : JSON.stringify([begun, document.body.innerHTML]);
}"""
_MARK_S = 5.0
"""A mark that has not come by then is not waited for: the page was just opening its ear."""


class Visitor:
    """Somebody in front of the page; ``faults`` holds what the browser complained of."""

    def __init__(self, context, address):
        self.page, self.address = context.new_page(), address
        self.faults, self._mark = [], 0
        self.page.on("console", self._heard)
        self.page.on("pageerror", lambda error: self.faults.append(str(error)))
        self.page.set_default_timeout(1000 * PATIENCE_S)
        self.page.add_init_script(_WAITING)
        self.page.goto(address)
        self.until("the first step", "document.querySelector('#controls').childElementCount > 0")

    def _heard(self, message):
        if message.type in ("error", "warning") and not any(words in message.text for words in _NO_FAULT):
            self.faults.append(f"{message.text} {message.location.get('url', '')}")

    def ask(self, script, given=None):
        return self.page.evaluate(script, given)

    def until(self, what, script):
        """Wait until a script says yes; the page itself forbids to evaluate text, so it is asked from outside."""
        end = time.monotonic() + PATIENCE_S
        while time.monotonic() < end:
            if self.ask(script):
                return
            time.sleep(_LOOK_S)
        raise AssertionError(f"never came: {what}; {self._told()}")

    def settle(self, *, until=lambda: False):
        """Wait until nothing more comes by itself, or until something said otherwise; whether that came."""
        end = time.monotonic() + PATIENCE_S
        while time.monotonic() < end:
            if until():
                return True
            if self._at_rest():
                return until()
            time.sleep(_LOOK_S / 2)
        raise AssertionError(f"the page never came to rest; {self._told()}")

    def _at_rest(self):
        """Whether the server has nothing to do, all that it told has arrived, and the page neither waits, changes nor asks meanwhile."""
        shown = self.ask(_AT_REST)
        if shown is None:
            return False
        self._mark += 1
        if not self.place.at_rest(self._mark):
            return False
        end = time.monotonic() + _MARK_S
        while self.ask("lastMark") != self._mark:
            if time.monotonic() > end:
                return False
            time.sleep(_LOOK_S / 10)
        return self.ask(_AT_REST) == shown

    def _told(self):
        """What the page says, for a failure."""
        places = ("#trouble", "#work", "#view .status", "#found", "#controls")
        return " ".join(self.words_now(place)[:300] for place in places)

    def words(self, place):
        return self.page.locator(place).inner_text()

    def words_now(self, place):
        return self.ask(f"(document.querySelector({place!r}) || {{}}).textContent || ''")

    def says(self, place, words):
        self.until(words, f"document.querySelector({place!r})?.textContent.includes({words!r})")

    def go(self, step):
        self.page.click(f"#steps [data-step={step}]")
        self.until(step, f"document.querySelector('#steps [data-step={step}]').ariaCurrent === 'step'")

    def press(self, words, place="#controls"):
        self.page.click(f"{place} button:has-text({words!r})")

    def hand_over(self, *files):
        self.page.set_input_files("#controls input[type=file][multiple]", files)

    def type(self, key, value):
        """Type a value into the field of a key and go on with Tab; the project says it then, and that it can be undone."""
        field = self.page.locator(f'[data-key="{key}"] input:not([type=file])').first
        field.scroll_into_view_if_needed()
        before = self.revision()
        field.fill(str(value))
        field.press("Tab")
        self.until(
            f"{key} saved", f"fetch('/state').then((a) => a.json()).then((s) => s.revision > {before})"
        )

    def revision(self):
        return self.ask("fetch('/state').then((a) => a.json()).then((s) => s.revision)")

    def state(self):
        return self.ask("fetch('/state').then((a) => a.json())")

    def built(self):
        """Wait for the holder of what the project says now."""
        self.until(
            "the holder",
            "fetch('/state').then((a) => a.json()).then((s) => s.built === s.revision)",
        )

    def undo(self):
        """Undo the last change; what it was called."""
        return self._pressed("undo")

    def redo(self):
        """Do again what was undone last; what it was called."""
        return self._pressed("redo")

    def _pressed(self, word):
        label, before = self.state()[word], self.revision()
        self.until(f"{word} offered", f"document.querySelector('#{word}').title.includes({label!r})")
        self.page.click(f"#{word}")
        self.until(
            f"{label}: {word}", f"fetch('/state').then((a) => a.json()).then((s) => s.revision > {before})"
        )
        return label

    def drag(self, what, dx, dy):
        """Drag something by px of the screen."""
        box = what.bounding_box()
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        self.page.mouse.move(x, y)
        self.page.mouse.down()
        self.page.mouse.move(x + dx / 2, y + dy / 2)
        self.page.mouse.move(x + dx, y + dy)
        self.page.mouse.up()


def drawn(person):
    """Whether the 3-D view shows more than its ground: colours counted in what is on the screen."""
    shot = person.page.locator("#view canvas").screenshot()
    colours = Image.open(io.BytesIO(shot)).convert("RGB").resize((90, 50)).getcolors(5000)
    return len(colours) > 60


def started():
    """Playwright and its browser."""
    player = sync_playwright().start()
    return player, player.chromium.launch(executable_path=CHROMIUM, args=_OPTIONS)
