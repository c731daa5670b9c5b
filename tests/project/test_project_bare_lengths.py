"""A length without a unit where all others like it are in inches or cm."""

from pathlib import Path

import pytest

from cradle.errors import ProjectError
from cradle.project.reader import project_from_text

INCHES = """
[[section]]
name = "low"
height = 0
measured = { form = "ellipse", width = "2 in", depth = "1 1/2 in" }
[[section]]
name = "mid"
height = "0.8 in"
measured = { form = "ellipse", width = "2.1 in", depth = "1.55 in" }
[[section]]
name = "high"
height = "1.6 in"
measured = { form = "ellipse", width = "2.2 in", depth = "1.6 in" }
[[section]]
name = "top"
height = "2.4 in"
measured = { form = "ellipse", width = "2.3 in", depth = '1.7"' }
"""


def told(text):
    try:
        project_from_text(text, file=Path("holder.toml"))
    except ProjectError as error:
        return [str(problem) for problem in error.problems]
    return []


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        (
            'height = "0.8 in"',
            "height = 0.8",
            'section[2].height: 0.8 has no unit, but all other heights are in inches; write "0.8 in", or "0.8 mm"',
        ),
        ('height = "0.8 in"', 'height = "0.8"', "section[2].height: 0.8 has no unit"),
        ('width = "2.2 in"', "width = 2.2", "section[3].measured.width: 2.2 has no unit"),
    ],
)
def test_one_length_whose_unit_was_forgotten_is_told_with_what_to_write(old, new, words):
    assert INCHES.count(old) == 1
    (problem,) = told(INCHES.replace(old, new))
    assert words in problem


def test_each_of_several_is_told_while_more_state_their_unit():
    bare = (
        INCHES.replace('width = "2 in"', "width = 2").replace('"1 1/2 in"', "1.5").replace('"2.2 in"', "2.2")
    )
    assert [problem.split(";")[0] for problem in told(bare)] == [
        f"line {line}: section[{n}].measured.{key}: {value} has no unit, but most readings of sections are in inches"
        for line, n, key, value in [(5, 1, "width", 2), (5, 1, "depth", 1.5), (13, 3, "width", 2.2)]
    ]
    assert told(bare.replace('"2.3 in"', "2.3")) == []  # as many as the others: some are in mm on purpose


def test_the_units_of_the_thing_s_height_and_the_block_s_speak_for_the_sections():
    two = (
        INCHES[: INCHES.index('[[section]]\nname = "high"')]
        .replace('"0.8 in"', "0.8")
        .replace("= 0\n", '= "0.1 in"\n')
    )
    assert told(two) == []  # one each way
    (problem,) = told(two + '[object]\nheight = "2.4 in"\n')
    assert "section[2].height: 0.8 has no unit, but all other heights are in inches" in problem
    assert len(told(two + '[block]\nheight = "1 in"\n')) == 1
    assert (
        told(two.replace("height = 0.8", 'height = "0.8 in"') + "[block]\nheight = 34\n") == []
    )  # mm on purpose


@pytest.mark.parametrize(
    ("form", "more", "key"),
    [("rectangle", "corner = 0.25", "corner"), ("superellipse", "diagonal = 2.2", "diagonal")],
)
def test_a_corner_and_a_diagonal_are_readings_too(form, more, key):
    shape = f'form = "{form}", {more}, width = "2.1 in"'
    problems = told(INCHES.replace('form = "ellipse", width = "2.1 in"', shape))
    words = f"section[2].measured.{key}: {more.split()[-1]} has no unit, but all other readings"
    assert any(words in problem for problem in problems)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("in", "in"),
        ('height = "0.8 in"', 'height = "20 mm"'),
        ('height = "0.8 in"\n', "height = 20\nshift = [1, 2]\nclearance = 0.3\n"),
        (" in", " mm"),
    ],
)
def test_units_that_differ_zero_and_mm_are_not_told(old, new):
    text = INCHES.replace(old, new)
    if new.startswith("height = 20\n"):
        text = text.replace('height = "1.6 in"', "height = 40")  # two: some are in mm on purpose
    assert told(text) == []


@pytest.mark.parametrize("value", ['"0,8 in"', "true", "[1]", "-3", "1e400", '"' + "9" * 60 + '"'])
def test_what_is_no_length_is_told_as_that_alone(value):
    (problem,) = told(INCHES.replace('height = "0.8 in"', f"height = {value}"))
    assert "has no unit" not in problem
