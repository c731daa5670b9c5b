"""Where a holder's screws go into the wall: on a plate, through the back, and in keyholes."""

import numpy as np
import pytest

from cradle.geometry.mesh import bounds_mm
from cradle.geometry.ring import extents
from cradle.holder.holder import make_holder
from cradle.holder.on_the_wall import back_outline_mm, screw_words, wall_places_mm
from cradle.project.block import BlockSpec, PlateHole, PlateSpec
from cradle.project.opening import CountersunkSpec, KeyholeSpec, RoundSpec, ScrewSpec, Through

BLOCK = BlockSpec(wall_mm=9.0, floor_mm=6.0)


def built(pocket, *openings, plate=None):
    return make_holder([pocket], block=BLOCK, openings=openings, under=np.zeros((1, 2)), plate=plate)


def test_screws_and_keyholes_of_the_back_count_and_no_others(tile):
    openings = [
        ScrewSpec(through=Through.BACK, at_mm=(-8.0, 22.0), screw="M4"),
        CountersunkSpec(through=Through.BACK, at_mm=(9.0, 21.0), diameter_mm=4.0, head_mm=7.0),
        KeyholeSpec(through=Through.BACK, at_mm=(0.0, 20.0), screw="M4"),
        ScrewSpec(through=Through.LEFT, at_mm=(0.0, 20.0), screw="M4"),
        RoundSpec(through=Through.BACK, at_mm=(0.0, 8.0), diameter_mm=3.0),
    ]
    assert wall_places_mm(built(tile, *openings)).tolist() == [[-8.0, 22.0], [9.0, 21.0], [0.0, 20.0]]
    assert wall_places_mm(built(tile)).shape == (0, 2)


def test_a_plate_s_screws_lie_on_it_and_its_outline_is_the_holder_s(tile):
    holder = built(tile, plate=PlateSpec(width_mm=100.0, height_mm=None, screw="M4"))
    places = wall_places_mm(holder)
    assert len(places) == 4
    low, high = bounds_mm(holder.mesh)
    x0, z0, x1, z1 = extents(back_outline_mm(holder))
    assert [x0, x1] == pytest.approx([low[0], high[0]])
    assert [z0 + holder.lift_mm, z1 + holder.lift_mm] == pytest.approx([low[2], high[2]])
    assert (places > [x0, z0]).all()
    assert (places < [x1, z1]).all()


def test_the_screws_are_named_by_size_and_a_keyhole_s_by_how_far_it_stands_out(tile):
    # M4: hole 4.5 mm (ISO 273, medium), countersunk head 9.4 mm (ISO 10642, ISO 7046-1)
    plate = PlateSpec(width_mm=100.0, height_mm=None, screw="M4")
    (words,) = screw_words(built(tile, plate=plate))
    assert words == "4 × M4 countersunk screw, hole 4.5 mm, head up to 9.4 mm."
    hung = PlateSpec(width_mm=100.0, height_mm=None, screw="M4", hole=PlateHole.KEYHOLE, thickness_mm=5.0)
    (words,) = screw_words(built(tile, plate=hung))
    assert "for a keyhole: leave 5.0 to 5.5 mm between wall and head." in words
    openings = [
        ScrewSpec(through=Through.BACK, at_mm=(-8.0, 22.0), diameter_mm=3.7),
        KeyholeSpec(through=Through.BACK, at_mm=(9.0, 20.0), screw="M4", lip_mm=2.5),
    ]
    assert screw_words(built(tile, *openings)) == (
        "1 × screw, up to 3.7 mm thick, hole 3.7 mm.",
        "1 × M4 pan head screw for a keyhole: leave 2.5 to 3.0 mm between wall and head.",
    )
    wood = PlateSpec(width_mm=100.0, height_mm=None, diameter_mm=0.177 * 25.4, head_mm=25.4 * 5 / 16)
    (words,) = screw_words(built(tile, plate=wood))
    assert words == "4 × screw countersunk, up to 4.5 mm thick, hole 4.5 mm, head up to 7.94 mm."
