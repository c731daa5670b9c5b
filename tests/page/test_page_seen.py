"""How the page looks and is reached, asked of a real browser: no words clipped or covered, every control by keyboard."""

import base64
import io

import numpy as np
import pytest
from PIL import Image
from tub import TUB
from visitor import STEPS, needs_browser

pytestmark = needs_browser
WIDTHS = {"desk": (1280, 768), "tablet": (820, 1180), "phone": (390, 844)}
FULL = TUB + '\n[[opening]]\nkind = "drain"\ndiameter = 6\n\n[plate]\nwidth = 110\nscrew = "M4"\n'

CLIPPED_OR_COVERED = """() => {
  const faults = [], shown = [];
  const scroller = (one) => {
    for (let at = one.parentElement; at; at = at.parentElement)
      if (/auto|scroll/.test(getComputedStyle(at).overflowY)) return at;
    return document.scrollingElement;
  };
  const words = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = words.nextNode(); node; node = words.nextNode()) {
    const parent = node.parentElement;
    if (!node.data.trim() || !parent.checkVisibility({visibilityProperty: true})) continue;
    if (parent.closest(".skip, noscript, option, script, style, datalist")) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    for (const box of range.getClientRects()) {
      if (box.width < 1 || box.height < 1) continue;
      shown.push({text: node.data.trim().slice(0, 40), parent, box, home: scroller(parent)});
      if (box.left < -1 || box.right > innerWidth + 1) faults.push(`outside the window: ${node.data.trim()}`);
      for (let at = parent; at && at !== document.body; at = at.parentElement) {
        const style = getComputedStyle(at), around = at.getBoundingClientRect();
        const cuts = at.tagName === "svg" || style.overflowX !== "visible";
        const scrolls = /auto|scroll/.test(style.overflowX) && at.matches(".wide-table");
        if (cuts && !scrolls && (box.left < around.left - 1 || box.right > around.right + 1))
          faults.push(`clipped at its side: ${node.data.trim()}`);
        if (scrolls) break;
      }
      const button = parent.closest("button, .button");
      if (button) {
        const around = button.getBoundingClientRect();
        if (box.bottom > around.bottom + 1 || box.top < around.top - 1) faults.push(`out of its button: ${node.data}`);
      }
    }
  }
  for (const input of document.querySelectorAll("input[type=text], select")) {
    if (!input.checkVisibility()) continue;
    const pen = document.createElement("canvas").getContext("2d"), style = getComputedStyle(input);
    pen.font = style.font;
    const text = input.tagName === "SELECT" ? (input.selectedOptions[0] || {textContent: ""}).textContent
      : input.value || input.placeholder;
    const room = input.clientWidth - parseFloat(style.paddingLeft) - parseFloat(style.paddingRight)
      - (input.tagName === "SELECT" ? 16 : 0);
    if (pen.measureText(text).width > room + 1) faults.push(`too long for its field: ${text}`);
  }
  for (const [n, a] of shown.entries())
    for (const b of shown.slice(n + 1)) {
      if (a.parent === b.parent || a.home !== b.home) continue;
      const wide = Math.min(a.box.right, b.box.right) - Math.max(a.box.left, b.box.left);
      const high = Math.min(a.box.bottom, b.box.bottom) - Math.max(a.box.top, b.box.top);
      if (wide > 2 && high > 3) faults.push(`covers each other: ${a.text} / ${b.text}`);
    }
  return [shown.length, [...new Set(faults)]];
}"""

REACHED = """() => {
  const at = document.activeElement;
  if (!at || at === document.body) return null;
  window.reached.add(at);
  const box = at.getBoundingClientRect();
  const seen = box.bottom > 0 && box.top < innerHeight && box.right > 0 && box.left < innerWidth;
  const marked = getComputedStyle(at).outlineStyle !== "none" || at.closest("svg") !== null;
  return [seen, marked, `${at.tagName} ${at.id} ${at.getAttribute("aria-label") || at.textContent}`.slice(0, 60)];
}"""

UNREACHED = """() => {
  const wanted = "button, a[href], input, select, summary, [tabindex='0']";
  return [...document.querySelectorAll(wanted)]
    .filter((one) => one.checkVisibility() && !one.disabled && !window.reached.has(one))
    .map((one) => `${one.tagName} ${one.getAttribute("aria-label") || one.textContent || one.id}`);
}"""


@pytest.fixture
def full(tub):
    tub.write_text(FULL, encoding="utf-8")
    return tub


def unfold(person):
    person.ask("document.querySelectorAll('details').forEach((one) => { one.open = true; })")


def at_rest(person):
    """Wait until everything that is on its way has been drawn."""
    person.built()
    person.ask("new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")


@pytest.mark.slow
def test_no_words_are_clipped_or_covered_at_any_width(full, visit):
    person = visit(full)
    at_rest(person)
    seen = {}
    for step in STEPS:
        person.go(step)
        unfold(person)
        for name, (width, height) in WIDTHS.items():
            person.page.set_viewport_size({"width": width, "height": height})
            at_rest(person)
            count, faults = person.ask(CLIPPED_OR_COVERED)
            wider = person.ask("document.scrollingElement.scrollWidth - innerWidth")
            assert count > 20, (step, name)
            if faults or wider > 0:
                seen[step, name] = faults, wider
    assert seen == {}


def ground(person):
    """How light the page is, 0 to 255."""
    shot = Image.open(io.BytesIO(person.page.screenshot())).convert("L")
    return sum(shot.resize((40, 30)).tobytes()) / 1200


@pytest.mark.slow
def test_thing_and_fields_are_seen_together_in_light_and_dark(full, visit):
    person = visit(full, width=1366, height=768)
    at_rest(person)
    for step in ("holder", "fit"):
        person.go(step)
        boxes = [
            person.page.locator(place).first.bounding_box() for place in ("#view canvas", "#controls .field")
        ]
        for box in boxes:
            assert 0 <= box["y"] <= 768 - 40, step
        assert boxes[1]["x"] + boxes[1]["width"] <= boxes[0]["x"]
        assert boxes[0]["y"] + boxes[0]["height"] <= 768
    light = ground(person)
    person.page.emulate_media(color_scheme="dark")
    at_rest(person)
    assert ground(person) < 90 < 180 < light


@pytest.mark.slow
def test_everything_is_reached_with_the_keyboard_and_has_a_name(full, visit):
    person = visit(full)
    at_rest(person)
    session = person.page.context.new_cdp_session(person.page)
    for step in STEPS:
        person.go(step)
        unfold(person)
        at_rest(person)
        person.ask("window.reached = new Set(); document.activeElement.blur();")
        places, ends = [], 0
        while ends < 2 and len(places) < 500:  # past the end it begins again at the top
            person.page.keyboard.press("Tab")
            place = person.ask(REACHED)
            ends += place is None
            if place is not None:
                places.append(place)
        assert len(places) > 9, step
        assert [words for seen, marked, words in places if not (seen and marked)] == [], step
        assert person.ask(UNREACHED) == [], step
        tree = session.send("Accessibility.getFullAXTree")["nodes"]  # as a screen reader is told
        nameless = [
            node["role"]["value"]
            for node in tree
            if not node["ignored"]
            and any(p["name"] == "focusable" and p["value"]["value"] for p in node.get("properties", ()))
            and not node.get("name", {}).get("value")
            and node["role"]["value"] not in ("RootWebArea", "generic")
        ]
        assert nameless == [], step


FOCUS = "document.activeElement.dataset.key || document.activeElement.textContent"


@pytest.mark.slow
def test_what_was_pressed_by_key_keeps_the_place_of_whoever_goes_on_by_key(tub, visit):
    """Also where it cannot be pressed while files are written, or is gone once it has been."""
    person = visit(tub)
    at_rest(person)
    person.go("fit")
    person.until("the rings", "document.querySelector('.ring') !== null")

    def enter(words):
        place = f"#controls button:has-text({words!r})"
        person.page.locator(place).first.focus()
        person.page.keyboard.press("Enter")

    enter("Make test pieces")
    assert person.ask(FOCUS) == "Make test pieces and paper checks"
    person.says("#controls", "test-pieces-1.stl")
    assert person.ask(FOCUS) == "Make test pieces and paper checks"
    ring = person.words_now(".ring")
    enter(ring)
    enter("good")
    person.says("#controls", f"{ring}: good")
    assert person.ask(FOCUS) == f"{ring}: good"
    enter("The holder itself")
    enter("Not now")
    assert person.ask(FOCUS) == "The holder itself"
    enter("Take the last one back")
    person.says("#controls", "No trial is noted yet")
    assert person.ask(FOCUS) == "trials"


@pytest.mark.slow
def test_sections_that_could_not_be_placed_are_not_asked_for_heights(tub, visit):
    """Where a view shows something else: it was said that they appear once they have heights and outlines."""
    (tub.parent / "seen.csv").write_text("0,0\n900,0\n900,90\n0,90\n", encoding="utf-8")
    with tub.open("a", encoding="utf-8") as file:
        file.write('\n[[view]]\nfrom = "front"\noutline = "seen.csv"\nunit = "mm"\n')
    person = visit(tub)
    person.go("stack")
    person.says("#view", "could not be placed: Measure says why")
    person.go("measure")
    person.says("#found", "widths in the view differ")


SHOW_PART = """async (data) => {
  const {solidView} = await import(new URL("solid.js", document.querySelector("script[src]").src));
  const view = solidView({plain: true});
  view.element.style = "position: fixed; inset: 0; z-index: 99; background: white";
  document.body.append(view.element);
  view.show({holder: data});
}"""


def packed_box():
    """A box whose front has a face that rounding turned over: the middle of its lower edge went a step up, past that of a thin face's tip."""
    corners = np.array([[x, y, z] for z in (0, 40000) for y in (0, 40000) for x in (0, 40000)])
    points = np.concatenate([corners, [[20000, 0, 900], [20000, 0, 100]]])
    front = [[0, 8, 9], [8, 1, 9], [0, 1, 8], [0, 9, 4], [9, 1, 5], [9, 5, 4]]
    rest = [
        [1, 3, 7],
        [1, 7, 5],
        [3, 2, 6],
        [3, 6, 7],
        [2, 0, 4],
        [2, 4, 6],
        [4, 5, 7],
        [4, 7, 6],
        [0, 2, 3],
        [0, 3, 1],
    ]

    def text(array):
        return base64.b64encode(np.array(array, dtype="<u2").tobytes()).decode()

    return {"low": [0, 0, 0], "step": 0.001, "points": text(points), "faces": text(front + rest), "edges": ""}


@pytest.mark.slow
def test_faces_that_rounding_turned_over_are_no_specks_on_a_whole_skin(full, visit):
    person = visit(full)
    at_rest(person)
    person.page.evaluate(SHOW_PART, packed_box())
    view = person.page.locator("canvas").last
    person.page.get_by_role("button", name="Front").last.click()
    person.page.wait_for_timeout(300)
    shot = Image.open(io.BytesIO(view.screenshot())).convert("RGB")
    wide, tall = shot.size
    middle = shot.crop((wide // 2 - tall // 5, tall // 3, wide // 2 + tall // 5, tall))
    light = np.asarray(middle).sum(axis=2)
    assert (light < 500).mean() > 0.5  # the box is there
    assert light.min() > 450  # nothing of it is as dark as its inside
