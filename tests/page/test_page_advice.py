"""What the verdict advises, taken up where it stands: a section more begun at its height, ways that lead to the right thing."""

import io
import math
import tomllib

import numpy as np
import pytest
from page_window import NO_HOLDER
from PIL import Image, ImageDraw
from tub import TUB
from visitor import needs_browser

from cradle.units import exact_mm

CHOSEN = "clearance = 0.35"
UNSURE = "[spread]\nbetween = 0.6\n"
DRAWN = f"""
[object]
name = "post"
mass = 100
[[section]]
name = "low"
height = 1.0
outline = "post.csv"
width = 48.02
[[section]]
name = "high"
height = 61.0
outline = "post.csv"
width = 48.02
[fit]
clearance = "auto"
between = 0
[block]
height = 50
{UNSURE}"""
POST = "\n".join(
    f"{24 * math.cos(turn):.3f},{15 * math.sin(turn):.3f}" for turn in np.linspace(0, 2 * math.pi, 61)[:-1]
)


def advised_mm(person):
    """The height of the one section that the findings on the holder advise."""
    findings = person.ask("fetch('/holder').then((a) => a.json())")["findings"]
    (height,) = {finding["begin"] for finding in findings} - {None}
    return height


@pytest.mark.slow
@needs_browser
def test_a_plain_section_that_is_advised_is_begun_once_at_its_height_and_in_its_form(tub, visit):
    tub.write_text(TUB.replace(CHOSEN, 'clearance = "auto"\nbetween = 0') + UNSURE, encoding="utf-8")
    person = visit(tub)
    person.built()
    person.go("fit")
    height = advised_mm(person)
    assert 0 < height < 50
    for _ in range(2):  # what was begun is gone to
        person.until("the notes", "document.querySelector('#found details') !== null")
        person.page.click("#found summary")
        person.press(f"Begin the section at {height:g} mm", "#found")
        person.until("its card", "document.activeElement.closest('[data-key]') !== null")
        key = person.ask("document.activeElement.closest('[data-key]').dataset.key")
        assert key == "section[3].measured.width"
        sections = tomllib.loads(tub.read_text(encoding="utf-8"))["section"]
        assert [one["height"] for one in sections] == [0.0, 50.0, height]
        assert sections[2]["measured"] == {"form": "rectangle"}
        person.go("fit")


def picture():
    """A dark card on white, as a PNG."""
    card = Image.new("L", (300, 300), 235)
    ImageDraw.Draw(card).ellipse((60, 100, 240, 200), fill=40)
    kept = io.BytesIO()
    card.save(kept, "PNG")
    return kept.getvalue()


@needs_browser
@pytest.mark.parametrize(
    ("step", "name", "data", "source"),
    [
        ("outline", "middle.csv", POST.encode(), {"outline": "outlines/middle.csv"}),
        pytest.param(
            "measure",
            "middle.png",
            picture(),
            {"picture": {"file": "pictures/middle.png"}},
            marks=pytest.mark.slow,
        ),
    ],
)
def test_a_drawn_section_that_is_advised_waits_for_its_file_at_its_height(
    step, name, data, source, tmp_path, visit
):
    file = tmp_path / "holder.toml"
    file.write_text(DRAWN, encoding="utf-8")
    (tmp_path / "post.csv").write_text(POST, encoding="utf-8")
    person = visit(file)
    person.built()
    person.go("fit")
    height = advised_mm(person)
    person.press(f"Begin the section at {height:g} mm")
    person.until("it begun", "document.querySelector('[data-key=\"section[3].outline\"]') !== null")
    person.says("#controls", "No outline found; choose the file of its outline.")
    person.go(step)
    before = person.revision()
    given = {"name": name, "mimeType": "application/octet-stream", "buffer": data}
    person.page.set_input_files("[data-key='section[3].outline'] input[type=file]", given)
    person.until("it taken", f"fetch('/state').then((a) => a.json()).then((s) => s.revision > {before})")
    last = tomllib.loads(file.read_text(encoding="utf-8"))["section"][2]
    assert last == {"name": f"at {height:g} mm", "height": height} | source


@needs_browser
def test_a_finding_on_another_thing_leads_to_no_section_of_the_same_name(tub, visit):
    person = visit(tub, drops=NO_HOLDER)
    ways = """own => import('/web/places.js').then(({waysOf}) => {
        const desk = {state: {places: {'section "low"': 1}, values: {section: [{name: "low"}]}}, schema: {}};
        const ways = waysOf({desk, go() {}}, {code: "x", where: 'section "low"', own, begin: null, at: null});
        return ways && ways.textContent;
    })"""
    assert person.ask(ways, given=True) == "Go to low"
    assert person.ask(ways, given=False) is None
    assert person.ask(ways.replace('"x"', '"lean-not-known"'), given=True) == "Go to how it leans"


@needs_browser
def test_a_section_is_drawn_with_its_own_size_not_that_of_the_points_that_show(tub, visit):
    person = visit(tub, drops=NO_HOLDER)
    figure = """() => import('/web/section_plot.js').then(({sectionFigure}) => sectionFigure({
        name: "low", placed: null, size: [10.02, 5.04], outline: [[0, 0], [10, 0], [10, 5], [0, 5]],
    }).textContent)"""
    assert person.ask(figure).startswith("10.025.04")


@pytest.mark.slow
@needs_browser
def test_what_is_chosen_where_nothing_is_said_stands_in_its_field(tub, visit):
    low = TUB.replace("height = 50.0", "height = 31.0").replace("height = 25        # just under the rim", "")
    low = low.replace(CHOSEN, "chance = 0.9")
    tub.write_text(low, encoding="utf-8")
    person = visit(tub)
    person.go("holder")
    person.built()
    where = "document.querySelector('[data-key=\"block.height\"] input')"
    assert person.ask(f"[{where}.value, {where}.placeholder]") == ["", "31"]
    person.go("fit")
    chosen = person.ask(
        "fetch('/holder').then((a) => a.json()).then((holder) => holder.taken['fit.clearance'])"
    )
    where = where.replace("block.height", "fit.clearance")
    assert person.ask(f"[{where}.value, {where}.placeholder]") == ["", f"auto: {chosen:g}"]


@needs_browser
def test_clearances_are_told_as_the_commands_tell_them(tub, visit):
    """To the digits that were asked for, which hundredths alone told otherwise than commands and files do."""
    person = visit(tub, drops=NO_HOLDER)
    script = """mm => import('/web/dom.js').then(({exact}) => mm.map(exact))"""
    lengths = [0.3, 0.125, 0.475, 0.0625, 1.0, 0.0, 12.000000001, 1 / 3]
    assert person.ask(script, lengths) == list(map(exact_mm, lengths))
    glance = """() => import('/web/chance.js').then(({glance}) => glance(
        {stage: "done", curve: [[0, 1], [1, 1]], thing_name: "it"}, 0.125).words)"""
    assert person.ask(glance).startswith("At 0.125 mm per side, ")


def test_no_ring_is_offered_above_the_rim_and_it_is_said_of_which_section(window):
    told = window.get("/trials").json()
    assert [place["name"] for place in told["places"]] == ["low"]
    assert told["idle"] == ["No ring at high: it lies at the holder's rim or above it."]


@needs_browser
def test_a_drawing_that_is_gone_is_told_by_its_whole_name(tub, visit):
    section = '[section.measured]\nform = "rectangle"\nwidth = 30\ndepth = 20\ncorner = 4\n'
    tub.write_text(TUB.replace(section, 'outline = "rings/low.csv"\n'), encoding="utf-8")
    person = visit(tub)
    person.go("holder")
    person.until("what is wrong", "document.body.textContent.includes('There is no such file')")
    assert "rings/low.csv: There is no such file" in person.ask("document.body.textContent")


@pytest.mark.slow
@needs_browser
def test_a_clearance_of_one_s_own_leaves_the_gap_between_sections_as_it_was(tub, visit):
    """What nothing was said of was chosen by the program; beside a clearance alone it is none, another holder than the one looked at."""
    tub.write_text(TUB.replace(CHOSEN, "chance = 0.9"), encoding="utf-8")
    person = visit(tub, drops=NO_HOLDER)
    person.go("fit")
    for clearance in (0.5, 0.6):
        person.type("fit.clearance", clearance)
        fit = tomllib.loads(tub.read_text(encoding="utf-8"))["fit"]
        assert fit == {"clearance": clearance, "between": "auto", "chance": 0.9}
    tub.write_text(TUB, encoding="utf-8")
    person.until("the file", "document.querySelector('[data-key=\"fit.clearance\"] input').value === '0.35'")
    person.type("fit.clearance", 0.4)
    assert tomllib.loads(tub.read_text(encoding="utf-8"))["fit"] == {"clearance": 0.4}


@pytest.mark.slow
@needs_browser
def test_what_another_file_refused_is_built_again_once_that_is_put_right(tub, visit):
    other = tub.parent / "other.toml"
    other.write_text(TUB.replace('"rectangle"', '"rectangel"'), encoding="utf-8")
    tub.write_text(f'{TUB}[row]\nthings = ["other.toml"]\n', encoding="utf-8")
    person = visit(tub)
    person.go("holder")
    person.says("#found", "'rectangel' is not allowed")
    assert f"in {other}, line " in person.words("#found")
    other.write_text(TUB.replace('"Tub"', '"Other tub"'), encoding="utf-8")
    person.press("Build again", "#view")
    person.built()
    person.says("#view .status", "Tub and Other tub")
