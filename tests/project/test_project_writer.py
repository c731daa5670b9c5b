import tomllib
from dataclasses import fields

import numpy as np
import pytest
from generated_projects import FILE, SMALL, drawn, measured, projects
from hypothesis import given, settings
from hypothesis import strategies as st
from written import project_to_text, with_values

from cradle.errors import InputError
from cradle.project.convert import AUTO
from cradle.project.opening import OpeningKind
from cradle.project.project import tables
from cradle.project.reader import project_from_text
from cradle.project.section import DRAWING, MeasuredSource

LAID_OUT = """\
# mine
[object]   # the thing
name = "a # b"   # not a comment

[[section]]
height   =  4.0       # four cards
outline = "low.svg"
  width = 61.4 # calipers
[fit]          # between two sections: a list of tables may go on later
clearance = 0.35 # per side
lift_out = [ 0,   # x
  0, 1 ]           # y, z
[[section]]
height = 30
measured = { form = "rectangle", width = 40.0, depth = 30.0 }   # on one line
# end"""


@pytest.mark.parametrize("kind", OpeningKind)
@pytest.mark.parametrize("sources", [drawn, measured()], ids=["drawn", "measured"])
def test_reading_back_gives_an_equal_project(sources, kind):
    @settings(max_examples=3)
    @given(projects(sources=sources, first_opening=kind))
    def is_read_back(project):
        text = project_to_text(project)
        again = project_from_text(text, file=FILE)
        assert again == project
        assert project_to_text(again) == text

    is_read_back()


def test_every_field_of_every_spec_has_a_key():
    for _, table in tables():
        assert {key.field for key in table.keys.values()} == {f.name for f in fields(table.makes)} - {
            "source",
            "number",
        }
    drawing = DRAWING
    assert {key.field for key in drawing.keys.values()} == {f.name for f in fields(drawing.makes)}


def test_a_changed_value_leaves_every_other_byte():
    changed = with_values(
        LAID_OUT, {"fit.clearance": 0.3, "section[1].width": 62, "section[2].measured.width": 41.5}
    )
    expected = (
        LAID_OUT.replace("0.35 #", "0.3 #").replace("61.4 #", "62 #").replace("width = 40.0", "width = 41.5")
    )
    assert changed == expected != LAID_OUT


def test_a_changed_list_keeps_the_comment_after_it():
    changed = with_values(LAID_OUT, {"fit.lift_out": (0, 0.1, 1)})
    assert "lift_out = [0, 0.1, 1]           # y, z\n" in changed


@pytest.mark.parametrize(
    ("key", "value", "line"),
    [
        ("fit.between", 0.1, "between = 0.1"),
        ("object.mass", np.float64(12.5), "mass = 12.5"),
        ("object.mass", np.int64(12), "mass = 12"),
        ("section[1].clearance", 0.2, "clearance = 0.2"),
        ("section[2].turn", 3, "turn = 3"),
        ("section[1].half", True, "half = true"),
        ("section[2].measured.corner", 2.0, "corner = 2.0"),
        ("block.wall", "1/8 in", 'wall = "1/8 in"'),
        ("test_pieces.clearances", [0.1, 0.2], "clearances = [0.1, 0.2]"),
    ],
)
@pytest.mark.parametrize("ending", ["\n", "\r\n"])
def test_a_new_key_goes_where_it_belongs(key, value, line, ending):
    text = LAID_OUT.replace("\n", ending)
    changed = with_values(text, {key: value})
    assert line in changed
    comments = [part.split("#", 1)[1] for part in text.splitlines() if "#" in part]
    assert all(comment in changed for comment in comments)
    assert ("\r\n" in changed) == (ending == "\r\n")
    # the new key and nothing else: taking it out again gives the old data
    assert tomllib.loads(with_values(changed, {key: None})).items() >= tomllib.loads(text).items()
    assert project_from_text(changed, file=FILE) != project_from_text(text, file=FILE)


@pytest.mark.parametrize("name", ['a "b" \\ é', "it's", "# no comment", "tab\there"])
def test_a_text_is_written_as_toml_wants_it(name):
    changed = with_values(LAID_OUT, {"object.name": name})
    assert tomllib.loads(changed)["object"]["name"] == name
    assert changed.count("# not a comment") == 1


def test_a_key_taken_out_takes_its_line():
    assert with_values(LAID_OUT, {"section[1].width": None}) == LAID_OUT.replace(
        "  width = 61.4 # calipers\n", ""
    )
    assert "width" not in with_values(LAID_OUT, {"section[2].measured.width": None}).split("measured")[1]
    assert with_values(LAID_OUT, {"fit.between": None}) == LAID_OUT


@pytest.mark.parametrize(
    "text",
    [
        'section = [{height=4, outline="a.svg"}, {height=9, measured.form="rectangle", measured.width=2, measured.depth=1}]',
        SMALL,
        'fit.between = 0.1\nblock = {}\n[[section]]\nheight = 1\noutline = "a.svg"\n'
        '[[section]]\nheight = 9\nmeasured.form = "rectangle"\nmeasured.width = 2\nmeasured.depth = 1',
    ],
)
def test_every_way_of_writing_tables_can_be_changed(text):
    changes = {
        "section[1].height": 2.5,
        "section[1].width": 30.0,
        "section[2].measured.width": 3.0,
        "section[2].measured.corner": 0.25,
        "fit.clearance": 0.4,
        "block.wall": 2.0,
    }
    changed = with_values(text, changes)
    project = project_from_text(changed, file=FILE)
    low, top = project.sections
    assert (low.height_mm, low.width_mm) == (2.5, 30.0)
    assert isinstance(top.source, MeasuredSource)
    assert (top.source.width_mm, top.source.corner_mm) == (3.0, 0.25)
    assert (project.fit.clearance_mm, project.block.wall_mm) == (0.4, 2.0)
    taken_out = with_values(
        changed, dict.fromkeys(["section[1].width", "section[2].measured.corner", "fit.clearance"])
    )
    again = project_from_text(taken_out, file=FILE)
    assert (again.sections[0].width_mm, again.fit.clearance_mm) == (None, AUTO)


@pytest.mark.slow
@settings(max_examples=40, deadline=None)
@given(projects(), st.floats(0.5, 9.0))
def test_changing_any_project_changes_that_key_alone(project, value):
    text = project_to_text(project)
    changed = project_from_text(
        with_values(text, {"fit.clearance": value, "section[2].clearance": value}), file=FILE
    )
    assert changed.fit.clearance_mm == changed.sections[1].clearance_mm == value
    assert changed.sections[0] == project.sections[0]
    assert (changed.block, changed.printer, changed.thing) == (project.block, project.printer, project.thing)


@pytest.mark.parametrize(
    ("key", "value", "expected"),
    [
        ("fit.clearance.x", 1, "fit.clearance is not a table"),
        ("section.width", 1, "section is not a table"),
        ("fit[1].clearance", 1, "fit is not a table"),
        ("section[3].width", 1, r"there is no section\[3\], the project has 2"),
        ("opening[1].width", 1, r"there is no opening\[1\], the project has 0"),
        ("section[0].width", 1, "expected a dotted key, not"),
        ("", 1, "expected a dotted key, not"),
        ("fit.clearance", float("nan"), "fit.clearance: expected a finite number"),
        ("fit.clearance", object(), "fit.clearance: expected a finite number"),
        ("fit.lift_out", [0, float("inf"), 1], "expected a finite number"),
    ],
)
def test_what_cannot_be_changed_is_refused(key, value, expected):
    with pytest.raises(InputError, match=expected):
        with_values(LAID_OUT, {key: value})


@pytest.mark.parametrize("text", ["[fit", "fit = 3", "section = 3", "section = [1]"])
def test_a_text_that_is_no_project_cannot_be_changed(text):
    with pytest.raises(InputError):
        with_values(text, {"fit.clearance": 1, "section[1].width": 3})
