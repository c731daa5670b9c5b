"""Openings of a row: which pockets have them, and where they stand."""

import numpy as np
import pytest
from tins import cut_of, places, tin

from cradle.errors import HolderError, ProjectError
from cradle.geometry.solid import cut_regions
from cradle.pipeline.mistakes import told_with_lines
from cradle.project.reader import read_project


def drains(made, z=1.0):
    level = cut_regions(made.holder.solid, np.array([z]))[0]
    return sorted(float(np.mean(ring.coords.xy[0])) for ring in level.interiors)


def test_each_pocket_has_its_drain(written):
    row = "[block]\nheight = 30\n[row]\ncount = 3\n"
    every = cut_of(written, tin(30, extra=f'{row}[[opening]]\nkind = "drain"\ndiameter = 6\n'))
    assert drains(every) == pytest.approx(places(every), abs=0.05)
    one = cut_of(written, tin(30, extra=f'{row}[[opening]]\nkind = "drain"\ndiameter = 6\npocket = 2\n'))
    assert drains(one) == pytest.approx(places(one)[1:2], abs=0.05)


def test_places_count_from_the_thing_s_own_frame(written):
    hole = '[[opening]]\nkind = "round"\nat = [4.0, -3.0]\ndiameter = 6\n'
    made = cut_of(written, tin(30, extra=f"[block]\nheight = 30\n[row]\ncount = 2\n{hole}"))
    assert drains(made) == pytest.approx([m + 4 for m in places(made)], abs=0.05)


def test_a_hole_in_the_left_wall_is_in_the_first_pocket_only(written):
    hole = '[[opening]]\nkind = "round"\nthrough = "left"\ndiameter = 6\n'
    made = cut_of(written, tin(30, extra=f"[block]\nheight = 30\n[row]\ncount = 2\n{hole}"))
    assert [opening.where for opening in made.holder.openings] == ["opening[1], pocket 1"]


def test_a_label_stands_once_in_the_middle_or_before_its_pocket(written):
    label = '[[opening]]\nkind = "label"\nthrough = "front"\ntext = "A"\nheight = 6\n'
    row = "[block]\nheight = 30\n[row]\ncount = 3\n"
    once = cut_of(written, tin(30, extra=row + label))
    assert len(once.holder.openings) == 1
    second = cut_of(written, tin(30, extra=f"{row}{label}pocket = 3\n"))
    for made, middle in ((once, places(once)[1]), (second, places(second)[2])):
        x0, _, _, x1, _, _ = made.holder.openings[0].cuts[0].bounding_box()
        assert (x0 + x1) / 2 == pytest.approx(middle, abs=0.2)


@pytest.mark.parametrize(
    ("extra", "told"),
    [
        ('[[opening]]\nkind = "drain"\ndiameter = 6\npocket = 3\n', "there are 2 pockets"),
        ('[[opening]]\nkind = "finger"\nthrough = "left"\n', "beside a thing in a row stands its neighbour"),
        (
            '[[opening]]\nkind = "round"\nthrough = "right"\ndiameter = 6\npocket = 1\n',
            "behind the right wall lies pocket 2",
        ),
        ('[[opening]]\nkind = "feet"\ndiameter = 6\ndepth = 1\npocket = 1\n', "feet stand under the block"),
    ],
)
def test_openings_that_no_pocket_has_are_refused(written, extra, told):
    text = tin(30, extra=f"[row]\ncount = 2\n{extra}")
    with pytest.raises(ProjectError) as caught:
        read_project(written(text))
    assert told in str(caught.value)


def test_keyholes_of_a_row_count_from_the_block_s_middle(written):
    hole = '[[opening]]\nkind = "keyhole"\nthrough = "back"\nscrew = "M4"\nat = [{}, 22.0]\n'
    pair = hole.format(-30) + hole.format(30)
    made = cut_of(written, tin(30, extra=f"[block]\nheight = 30\nwall = 8\n{pair}[row]\ncount = 3\n"))
    middle = places(made)[1]
    found = []
    for opening in made.holder.openings:
        x0, _, _, x1, _, _ = opening.cuts[0].bounding_box()
        found.append((x0 + x1) / 2 - middle)
    assert found == pytest.approx([-30, 30], abs=0.05)


@pytest.mark.parametrize("count", [1, 2])
def test_an_opening_that_cannot_be_is_told_with_its_line_and_its_pocket(written, count):
    drain = '[[opening]]\nkind = "drain"\ndiameter = 6\nat = [80.0, 0.0]\n'
    text = tin(30, extra=f"[block]\nheight = 30\n[row]\ncount = {count}\n{drain}")
    project = read_project(written(text))
    with pytest.raises(HolderError) as caught, told_with_lines(project):
        cut_of(written, text)
    assert caught.value.line == text.splitlines().index("[[opening]]") + 1
    assert [place for place in caught.value.places if place] == ["opening[1]", "pocket 1"][:count]
