"""Sections that stand in the file as they were measured: the page shows them from bottom to top and changes the one that is meant."""

import tomllib

import pytest
from page_window import NO_HOLDER
from visitor import needs_browser

pytestmark = needs_browser
BY_HAND = (
    '[[section]]\nname = "waist"\nheight = 20\n[section.measured]\nform = "ellipse"\nwidth = 33\ndepth = 22\n'
)


def cards(person):
    """The names of the sections on the cards of a step, from the top of the page."""
    return person.ask(
        "[...document.querySelectorAll('#controls .card h3')].map((one) => one.firstChild.textContent)"
    )


def section(tub, number):
    """What the file says of a section."""
    return tomllib.loads(tub.read_text(encoding="utf-8"))["section"][number - 1]


def add_on_the_page(person, tub):
    person.press("Add a plain shape")
    person.until("its card", "document.querySelector('[data-key=\"section[3].height\"]') !== null")
    person.page.keyboard.press("Shift+Tab")
    for typed in ("waist", "20", None, "33", "22"):
        if typed is not None:
            person.page.keyboard.type(typed)
        person.page.keyboard.press("Tab")
    person.until("all is told", "fetch('/state').then((a) => a.json()).then((s) => s.sound)")


def add_by_hand(person, tub):
    tub.write_text(tub.read_text(encoding="utf-8") + BY_HAND, encoding="utf-8")
    person.until("its card", "document.querySelector('[data-key=\"section[3].height\"]') !== null")


@pytest.mark.first_daily
@pytest.mark.parametrize("add", [add_on_the_page, add_by_hand])
def test_a_section_between_two_others_is_shown_there_on_every_step(tub, visit, add):
    person = visit(tub, drops=NO_HOLDER)
    person.go("measure")
    add(person, tub)
    assert cards(person) == ["low", "waist", "high"]
    person.type("section[3].measured.depth", "23")
    assert section(tub, 3)["measured"] == {"form": "ellipse", "width": 33, "depth": 23}

    person.go("outline")
    person.press("waist")
    assert person.words('#controls .row [aria-pressed="true"]') == "waist (plain shape)"
    person.press("Go there")
    assert person.ask("document.activeElement.closest('[data-key]').dataset.key") == "section[3].height"

    person.go("stack")
    assert cards(person) == ["high", "waist", "low"]
    person.says("#view", "waist")
    shape = person.page.locator("#view path.mine[role=button]")
    assert shape.get_attribute("aria-label").startswith("high")  # the highest is in the hand first
    person.page.click("#controls .card h3:has-text('waist')")
    person.until(
        "in the hand", "document.querySelector('#view path.mine[role=button]').ariaLabel.startsWith('waist')"
    )
    person.drag(shape, 12, 4)
    person.until("moved", "fetch('/state').then((a) => a.json()).then((s) => 'shift' in s.values.section[2])")
    assert "shift" not in section(tub, 1) | section(tub, 2)

    person.go("measure")
    person.press("Remove", '#controls .card:has([data-key="section[3].name"])')
    person.until("two", "document.querySelectorAll('#controls .card').length === 2")
    assert cards(person) == ["low", "high"]


def test_whoever_types_goes_on_where_the_cards_change_places(tub, visit):
    person = visit(tub, drops=NO_HOLDER)
    person.go("measure")
    low = person.page.locator('[data-key="section[1].height"] input')
    low.fill("55")
    for key in ("Tab", "Tab", "3", "1"):  # past its form to its width, whether or not the height is saved yet
        person.page.keyboard.press(key)
    person.until(
        "another order", "document.querySelector('#controls .card h3').firstChild.textContent === 'high'"
    )
    person.page.keyboard.press("Tab")
    person.until(
        "saved",
        "fetch('/state').then((a) => a.json()).then((s) => s.values.section[0].measured.width === 31)",
    )
    assert section(tub, 1)["height"] == 55
    assert cards(person) == ["high", "low"]
    assert (
        person.ask("document.activeElement.closest('[data-key]').dataset.key") == "section[1].measured.depth"
    )
