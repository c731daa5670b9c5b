"""Mistakes of the file as a whole, and many at once."""

import re

import pytest
from generated_projects import FILE
from sound_project import SOUND, problems_of

from cradle.errors import ProjectError
from cradle.project.reader import project_from_text


def test_the_sound_text_is_sound():
    assert len(project_from_text(SOUND, file=FILE).sections) == 3


def test_a_section_without_a_name_has_its_number():
    text = SOUND.replace('name = "mid"\n', "", 1)
    assert project_from_text(text, file=FILE).sections[1].name == "section 2"


def test_no_section_is_told_with_what_is_needed():
    (problem,) = problems_of("")
    assert str(problem).startswith("section: no section found, at least 2 are needed; describe each")


def test_one_section_alone_is_told_at_its_line():
    text = '[[section]]\nheight = 1\noutline = "a.svg"\n'
    (problem,) = problems_of("\n" + text)
    assert problem.line == 2
    assert str(problem).startswith(
        "line 2: section[1]: only 1 section found, at least 2 are needed; for a straight"
    )


@pytest.mark.parametrize("text", ["[section]\nheight = 3\n", "section = 3"])
def test_sections_in_single_brackets_are_told_with_the_brackets_meant(text):
    (problem,) = problems_of(text)
    assert "write [[section]] with double brackets" in str(problem)


def test_each_entry_of_a_list_that_is_no_table_is_told():
    found = [str(problem) for problem in problems_of("section = [1, 'a']")]
    assert found == [
        "line 1: section[1]: expected one table, not 1",
        "line 1: section[2]: expected one table, not the text 'a'",
    ]


def test_all_mistakes_come_at_once_in_the_order_of_their_lines():
    changes = [
        ("height = 80", "height = true"),
        ("height = 4.0", "hieght = 4.0"),
        ("corner = 3", "corner = 99"),
        ("height = 30.0", "height = 15"),
        ("clearance = 0.35", "clearance = -1"),
        ("wall = 3.0", "wall = 0"),
        ("diameter = 6", "diameter = nan"),
        ("clearances = [0.2, 0.3]", "clearances = [-1, 99, 0.1]"),
    ]
    text = SOUND
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    found = problems_of(text)
    assert [(p.line, p.where) for p in found] == [
        (3, "object.height"),
        (6, "section[1].hieght"),
        (11, "section[2].measured.corner"),
        (14, "section[3].height"),
        (21, "fit.clearance"),
        (24, "block.wall"),
        (28, "opening[1].diameter"),
        (35, "test_pieces.clearances[1]"),
        (35, "test_pieces.clearances[2]"),
    ]


def test_an_error_has_one_line_per_mistake():
    with pytest.raises(ProjectError) as caught:
        project_from_text(SOUND.replace("wall = 3.0", "wall = 0").replace("= 0.35", "= -1"), file=FILE)
    lines = str(caught.value).splitlines()
    assert len(lines) == len(caught.value.problems) == 2
    assert all(re.match(rf"{re.escape(str(FILE))}: line \d+: ", line) for line in lines)
