"""How the thing leans: told where it is seen to stand upright, and shown by a view from each way."""

import tomllib

import pytest
from page_window import NO_HOLDER
from PIL import Image, ImageDraw
from visitor import needs_browser

pytestmark = needs_browser
ADD = ".row:has(select[aria-label='seen from'])"
SEEN = b"-15,0\n15,0\n18,50\n-18,50\n"


def test_that_nothing_tells_how_it_leans_is_said_where_it_stands_upright(tub, visit):
    person = visit(tub, drops=NO_HOLDER)
    person.go("stack")
    person.says("#controls .findings", "taken to stand upright")
    person.press("Go to how it leans")
    assert person.ask("document.activeElement.closest('[data-key]').dataset.key") == "side.front"
    assert "upright" not in person.words("#found")


@pytest.mark.slow
def test_the_next_view_is_offered_from_where_something_new_is_seen(tub, visit):
    person = visit(tub, drops=NO_HOLDER)
    person.go("measure")
    person.page.click("summary:has-text('How it leans')")
    for number, side in enumerate(("front", "right"), start=1):
        assert person.page.input_value(f"{ADD} select") == side
        drawing = {"name": f"{side}.csv", "mimeType": "text/csv", "buffer": SEEN}
        person.page.set_input_files(f"{ADD} input", drawing)
        person.until("its card", f"document.querySelector('[data-key=\"view[{number}].scale\"]') !== null")
    views = tomllib.loads(tub.read_text(encoding="utf-8"))["view"]
    assert [view["from"] for view in views] == ["front", "right"]


@pytest.mark.slow
def test_a_view_s_picture_is_looked_at_where_pictures_are(tub, visit):
    picture = Image.new("L", (400, 600), 230)
    ImageDraw.Draw(picture).rectangle((120, 80, 280, 520), fill=60)
    picture.save(tub.with_name("left.png"))
    tub.write_text(
        tub.read_text() + '[[view]]\nfrom = "left"\nscale = "free"\n[view.picture]\nfile = "left.png"\n'
    )
    person = visit(tub, drops=NO_HOLDER)
    person.go("measure")
    person.press("Look at the picture", "#controls details:has-text('How it leans')")
    person.says("#controls h3", "view from the left")
    person.says("#controls select#piece", "the only one")


@pytest.mark.first_daily
@pytest.mark.parametrize(
    ("read", "told"),
    [
        (35.99, "35.99 read: −0.01 mm (0 %)"),
        (35.9, "35.9 read: −0.1 mm (−0.3 %)"),
        (36, "36 read: ±0 mm (0 %)"),
    ],
)
def test_a_difference_that_comes_to_nothing_has_no_sign(tub, visit, read, told):
    person = visit(tub, drops=NO_HOLDER)
    script = """read => import('/web/residual.js').then(({residualLines}) =>
        residualLines({size: [36, 24]}, [read, null])[0].words)"""
    assert person.ask(script, read) == f"width: 36 mm drawn, {told}"


def test_a_sheet_that_lay_askew_is_told_as_wide_as_commands_and_report_tell_it(tub, visit):
    person = visit(tub, drops=NO_HOLDER)
    script = """half => import('/web/residual.js').then(({residualLines}) => residualLines(
        {size: [131.32, 44.51], half, placed: {traced: [130, 40]}}, [130, 40]).map(({words}) => words))"""
    for half in (False, True):
        assert person.ask(script, half) == [
            "width: 130 mm drawn, 130 read: ±0 mm (0 %)",
            "depth: 40 mm drawn, 40 read: ±0 mm (0 %)",
        ]
