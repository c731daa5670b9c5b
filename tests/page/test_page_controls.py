"""Every control of the page, pressed in every state that a project can be in: none does nothing and says nothing."""

import re
import shutil

import pytest
from made_demos import DEMOS
from page_window import NO_HOLDER
from tub import TUB
from visitor import STEPS, needs_browser

from cradle.page.jobs import Task

pytestmark = needs_browser
PICTURE = DEMOS / "ocarina" / "pictures" / "low.jpg"  # drawn by examples/
RICH = (
    TUB
    + """
[plate]
width = 110
screw = "M4"
[[opening]]
kind = "drain"
diameter = 6
"""
)
DRAWN = """
[object]
name = "drawn"
mass = 100
[[section]]
name = "low"
height = 1.0
outline = "low.csv"
[[section]]
name = "high"
height = 30.0
outline = "high.csv"
[block]
height = 20
"""
ROUND = "\n".join(f"{x},{y}" for x, y in [(0, 0), (30, 0), (40, 12), (30, 30), (0, 30), (-8, 15)])


def nothing(folder):
    pass


def written(text, *, pictures=()):
    def put(folder):
        (folder / "holder.toml").write_text(text, encoding="utf-8")
        for name in ("low", "high"):
            (folder / f"{name}.csv").write_text(ROUND, encoding="utf-8")
        for picture in pictures:
            (folder / "pictures").mkdir(exist_ok=True)
            shutil.copy(picture, folder / "pictures" / picture.name)

    return put


PICTURED = (
    '[object]\nname = "shown"\n[[section]]\nname = "low"\n[section.picture]\nfile = "pictures/low.jpg"\n'
)
# What stands in the folder, what of the work is never done, and what "[block]" becomes before the pressing.
STATES = {
    "an empty folder": (nothing, NO_HOLDER, None),
    "a picture alone": (written(PICTURED, pictures=[PICTURE]), NO_HOLDER, None),
    "a picture not looked at yet": (written(PICTURED, pictures=[PICTURE]), (Task.BUILD, Task.TRACE), None),
    "one section": (written(DRAWN.split('[[section]]\nname = "high"')[0]), NO_HOLDER, None),
    "two sections unread": (written(DRAWN), (Task.BUILD, Task.SECTIONS), None),
    "two sections, a drawing gone": (written(DRAWN.replace("low.csv", "gone.csv")), NO_HOLDER, None),
    "sections read": (written(DRAWN), NO_HOLDER, None),
    "a holder built": (written(RICH), (), None),
    "a holder of earlier values": (written(RICH), (), "[block]\nwall = 0.5"),
    "a holder that cannot be built": (
        written(RICH.replace("width = 110", "width = 20\nheight = 9")),
        (),
        None,
    ),
    "a file that cannot be read": (written(RICH), (), "[block"),
}

SEEN = """() => {
  const values = [...document.querySelectorAll("input, select, details")].map((one) =>
    [one.value, one.checked, one.open].join()).join("|");
  const scrolls = [...document.querySelectorAll("#controls, #beside, html")].map((one) => Math.round(one.scrollTop));
  const at = document.activeElement, canvas = document.querySelector("#view canvas");
  const copy = document.body.cloneNode(true);
  for (const one of copy.querySelectorAll("#work, .status")) one.remove();
  return JSON.stringify([
    copy.innerHTML, values, scrolls, ["BUTTON", "BODY", "SUMMARY"].includes(at.tagName) ? "" : at.outerHTML.slice(0, 200),
    canvas ? canvas.toDataURL().slice(-4000) : "",
  ]);
}"""

# Buttons and links in sight that are not held back, each with the words that it is known by.
CONTROLS = """() => [...document.querySelectorAll("button, a[href], summary")]
  .filter((one) => one.checkVisibility() && !one.disabled && !one.closest("[inert]") && !one.closest("#skip, .history, #work"))
  .map((one, n) => { one.dataset.pressed = n; return `${one.tagName} ${one.getAttribute("aria-label") || one.textContent}`; })"""
HELD_BACK = """() => [...document.querySelectorAll("button:disabled")].filter((one) => one.checkVisibility())
  .filter((one) => !one.title && !(one.closest(".row") || one).parentElement.textContent.replace(one.textContent, "").trim())
  .map((one) => one.textContent)"""

# What is as it says already, and says so by how it looks.
AT_REST = re.compile(
    r"BUTTON (\d [A-Z]\w+|Show the whole picture|Front|Right|Above|Slanted|Next: .*"
    r"|Choose the piece|low( \(drawing\)| \(plain shape\))?)$"
)


LOOKED_AT = ("an empty folder", "two sections unread")


@pytest.mark.slow
@pytest.mark.parametrize(
    "state", [name if name in LOOKED_AT else pytest.param(name, marks=pytest.mark.further) for name in STATES]
)
def test_no_control_does_nothing_and_says_nothing(state, tmp_path, visit):
    put, drops, then = STATES[state]
    put(tmp_path)
    file = tmp_path / "holder.toml"
    person = visit(file, drops=drops)
    if not drops:
        person.until("the holder", "fetch('/holder').then((a) => a.json()).then((s) => s.revision > 0)")
    if then:
        text = file.read_text(encoding="utf-8")
        changed = text.replace("[block]", then)
        assert changed != text
        file.write_text(changed, encoding="utf-8")
        person.until(
            "noticed", "fetch('/state').then((a) => a.json()).then((s) => s.problems.length + s.revision > 1)"
        )
    window, before = person.place.window(), bytes_of(file)
    silent, pressed = [], set()
    for step in STEPS:
        person.go(step)
        person.settle()
        assert person.ask(HELD_BACK) == [], step
        while unpressed := next_unpressed(person, step, pressed):
            known, n = unpressed
            if not answers(person, n):
                silent.append((step, known[n]))
            restore(person, window, step, known=known, file=file, before=before)
    assert silent == []
    assert len(pressed) > 12
    if Task.TRACE in drops:  # nor is the picture ever shown
        person.faults[:] = [fault for fault in person.faults if "/picture?path=" not in fault]


def next_unpressed(person, step, pressed):
    """All controls in sight, and the number of the next that none like it was pressed before; None where all were."""
    known = person.ask(CONTROLS)
    for n, words in enumerate(known):
        told = re.sub(r"\d+(\.\d+)?", "#", words)
        if (step, told) not in pressed:
            pressed.add((step, told))
            if not AT_REST.match(words):
                return known, n
    return None


def answers(person, n):
    """Whether pressing a control changes anything that can be seen, or leads to a file, a window or a choice of files."""
    found = person.page.locator(f"[data-pressed='{n}']")
    heard = []
    handlers = dict.fromkeys(("filechooser", "download", "popup"), lambda what: heard.append(what))
    for event, handler in handlers.items():
        person.page.on(event, handler)
    found.scroll_into_view_if_needed()
    before = person.ask(SEEN)
    found.click()
    changed = person.settle(until=lambda: bool(heard) or person.ask(SEEN) != before)
    for event, handler in handlers.items():
        person.page.remove_listener(event, handler)
    for one in heard:
        if hasattr(one, "close"):
            one.close()
    return changed


def bytes_of(file):
    return file.read_bytes() if file.exists() else b""


def restore(person, window, step, *, known, file, before):
    """Undo what a press has changed, once all of it is done, and stand where it was pressed again."""
    person.settle()  # what was seen first may be less than what comes of it: pressing Remove also chooses the card
    while bytes_of(file) != before and window.look()["undo"]:
        assert window.undo().status_code == 200
    assert bytes_of(file) == before
    person.page.goto(f"{person.address}#{step}")
    person.until("the step again", "document.querySelector('#controls').childElementCount > 0")
    person.settle()
    gone = set(known) - set(
        person.ask(CONTROLS)
    )  # more there may be: a holder that could be built meanwhile is shown on
    assert not gone, f"{step}: no longer there: {gone}"
