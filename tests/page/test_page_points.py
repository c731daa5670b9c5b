"""Points of an outline moved by hand, in a real browser: what closes a half is no line of its own."""

import numpy as np
import pytest
from page_window import NO_HOLDER
from visitor import needs_browser

pytestmark = needs_browser
PROJECT = """
[[section]]
name = "low"
height = 2
outline = "low.csv"
half = {half}
[[section]]
name = "rim"
height = 30
measured = {{ form = "ellipse", width = 44, depth = 34 }}
"""


@pytest.fixture
def half_or_whole(tmp_path):
    """A project whose lower section is a half circle's points, from one end of the mirror line to the other."""
    angle = np.radians(np.arange(-90, 91, 15))
    lines = [f"{15 * x:.3f},{15 * y:.3f}" for x, y in zip(np.cos(angle), np.sin(angle), strict=True)]
    (tmp_path / "low.csv").write_text("\n".join(lines))

    def project(half):
        (tmp_path / "holder.toml").write_text(PROJECT.format(half=half))
        return tmp_path / "holder.toml"

    return project


def middle_of_the_closing_line(person):
    """Half way between the first point and the last, on the screen."""
    boxes = [person.page.locator("#view .handle").nth(n).bounding_box() for n in (0, -1)]
    return [sum(box[k] + box[size] / 2 for box in boxes) / 2 for k, size in (("x", "width"), ("y", "height"))]


@pytest.mark.slow
@pytest.mark.parametrize(("half", "more"), [("true", 0), ("false", 1)])
def test_the_line_that_closes_an_outline_takes_a_point_unless_it_is_that_of_a_half(
    half_or_whole, visit, half, more
):
    person = visit(half_or_whole(half), drops=NO_HOLDER)
    person.go("outline")
    person.until("the outline", "document.querySelector('#view .filled') !== null")
    person.press("Move its points")
    handles = person.page.locator("#view .handle")
    before = handles.count()
    assert person.page.locator("#view .line").get_attribute("d").endswith("Z") == (half == "false")
    person.page.mouse.click(*middle_of_the_closing_line(person))
    assert handles.count() == before + more
    handles.first.focus()
    person.press("Take this point away")
    assert handles.count() == before + more - (half == "false")
    assert ("end of the half" in person.words("#controls")) == (half == "true")


@pytest.mark.slow
def test_a_half_is_compared_with_the_reading_of_the_whole(half_or_whole, visit):
    file = half_or_whole("true")
    person = visit(file, drops=NO_HOLDER)
    person.go("measure")
    person.says("#controls .card.chosen", "width: 30 mm as drawn")  # twice the radius of 15
    person.type("section[1].width", "29.7")
    person.says("#controls .card.chosen", "width: 30 mm drawn, 29.7 read: −0.3 mm (−1 %)")
