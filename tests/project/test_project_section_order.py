"""Sections stand in a file in any order, as they were measured; they are taken from bottom to top."""

import itertools

import pytest
from generated_projects import FILE
from sound_project import problems_of

from cradle.project.reader import project_from_text

LOW = '[[section]]\nname = "low"\nheight = 4\noutline = "low.svg"\nwidth = 40\n'
MID = '[[section]]\nname = "mid"\nheight = "1.5 cm"\n[section.measured]\nform = "ellipse"\nwidth = 44\ndepth = 31\n'
TOP = '# read last\n[[section]]\nname = "top"\nheight = 30.0\npicture = { file = "top.png", dpi = 600 }\n'
BLOCK = "[block]\nheight = 25\n"


def unnamed(table):
    return "".join(line for line in table.splitlines(keepends=True) if not line.startswith("name"))


@pytest.mark.parametrize("order", list(itertools.permutations([LOW, MID, TOP])))
def test_any_order_is_the_same_project(order):
    project = project_from_text("".join([*order, BLOCK]), file=FILE)
    assert [section.name for section in project.sections] == ["low", "mid", "top"]
    assert [section.height_mm for section in project.sections] == [4, 15, 30]
    assert project == project_from_text(LOW + MID + TOP + BLOCK, file=FILE)


def test_one_added_at_the_end_leaves_the_others_their_names():
    before = project_from_text(unnamed(LOW) + unnamed(TOP), file=FILE)
    after = project_from_text(unnamed(LOW) + unnamed(TOP) + unnamed(MID), file=FILE)
    assert [section.name for section in before.sections] == ["section 1", "section 2"]
    assert [section.name for section in after.sections] == ["section 1", "section 3", "section 2"]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        # each is told of the table that is meant, by its number in the file
        (TOP + LOW.replace("40", "-4") + MID, ["line 10: section[2].width: found -4.0 mm"]),
        (TOP + MID + LOW.replace("4\n", '"15 mm"\n', 1), ['line 15: section[3].height: section "mid" has']),
        (
            TOP + LOW.replace("4\n", "29.995\n", 1),
            ["line 8: section[2].height: 29.995 mm is less than 0.01 mm"],
        ),
        (
            TOP + MID + LOW.replace("low", "top", 1),
            ["line 14: section[3].name: 'top' is the name of section[1]"],
        ),
        (
            MID + LOW + TOP + "[object]\nheight = 20",
            ["line 16: section[3].height: 30.0 mm is above the thing's"],
        ),
        (
            TOP + MID + LOW + "[block]\nheight = 4",
            ["line 19: block.height: the block ends at 4.0 mm, not above"],
        ),
        (
            TOP + LOW + "[test_pieces]\nheights = [31]",
            ["line 12: test_pieces.heights: a piece at 31.0 mm lies"],
        ),
        # where a section without a height lies is not known: it may be the lowest, or the highest
        (
            TOP
            + MID
            + LOW.replace("height = 4\n", "")
            + "[block]\nheight = 9\n[test_pieces]\nheights = [31]",
            ["line 13: section[3].height: missing"],
        ),
        (
            TOP + MID + LOW + "[[section]]\nheight = 4\n" + "[[section]]\nheight = 15\n",
            [
                "line 18: section[4]: no outline found",
                'line 19: section[4].height: section "low" has',
                "line 20: section[5]: no outline found",
                'line 21: section[5].height: section "mid" has',
            ],
        ),
    ],
)
def test_what_is_mistaken_is_told_of_its_own_table(text, told):
    found = [str(problem) for problem in problems_of(text)]
    assert len(found) == len(told), found
    for line, begins in zip(found, told, strict=True):
        assert line.startswith(begins), found
