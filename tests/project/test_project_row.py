"""``[row]``: how many things fit a row, and which pocket an opening may belong to."""

import pytest
from generated_projects import SMALL

from cradle.errors import ProjectError
from cradle.project.opening import MOST_POCKETS
from cradle.project.reader import project_from_text
from cradle.project.row import MOST_OTHERS


def problems(tmp_path, extra):
    """What is wrong with a small project that has more tables, in words; empty where nothing is."""
    try:
        project_from_text(f"{SMALL}\n{extra}", file=tmp_path / "holder.toml")
    except ProjectError as error:
        return str(error)
    return ""


@pytest.mark.parametrize("count", [1, MOST_POCKETS])
def test_a_row_takes_so_many_things_and_no_more(tmp_path, count):
    assert problems(tmp_path, f"[row]\ncount = {count}\n") == ""
    assert "row.count" in problems(tmp_path, f"[row]\ncount = {MOST_POCKETS + 1}\n")


def test_a_row_of_too_many_other_things_is_refused_with_their_number(tmp_path):
    names = ", ".join(f'"t{k}.toml"' for k in range(MOST_OTHERS + 1))
    told = problems(tmp_path, f"[row]\nthings = [{names}]\n")
    assert f"found {MOST_OTHERS + 1} other things, allowed are {MOST_OTHERS}" in told


def test_things_and_others_count_together(tmp_path):
    told = problems(tmp_path, f'[row]\ncount = {MOST_POCKETS}\nthings = ["other.toml"]\n')
    assert f"found {MOST_POCKETS + 1} things in the row" in told


ROUND = '[[opening]]\nkind = "round"\ndiameter = 3\nthrough = "{}"\npocket = {}\n'


@pytest.mark.parametrize(
    ("through", "pocket", "told"),
    [
        ("left", 1, ""),
        ("right", 3, ""),
        ("front", 2, ""),
        ("left", 2, "behind the left wall lies pocket 1"),
        ("right", 1, "behind the right wall lies pocket 3"),
        ("front", 4, "found 4, there are 3 pockets"),
    ],
)
def test_an_opening_goes_to_a_pocket_that_lies_behind_its_wall(tmp_path, through, pocket, told):
    said = problems(tmp_path, "[row]\ncount = 3\n" + ROUND.format(through, pocket))
    assert told in said
    assert bool(told) == bool(said)


def test_feet_belong_to_no_pocket(tmp_path):
    feet = '[[opening]]\nkind = "feet"\ndiameter = 8\ndepth = 1.5\npocket = 1\n'
    assert "feet stand under the block" in problems(tmp_path, f"[row]\ncount = 2\n{feet}")
