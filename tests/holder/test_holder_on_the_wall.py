"""Where a holder's screws go into the wall: on a plate, through the back, and in keyholes."""

import numpy as np
import pytest
from pockets import pocket_of
from stacked import rectangle, stacked

from cradle.geometry.mesh import bounds_mm
from cradle.geometry.ring import extents
from cradle.holder.holder import make_holder
from cradle.holder.on_the_wall import back_outline_mm, wall_places_mm
from cradle.project.block import BlockSpec, PlateSpec
from cradle.project.opening import CountersunkSpec, KeyholeSpec, RoundSpec, ScrewSpec, Through

BLOCK = BlockSpec(wall_mm=9.0, floor_mm=6.0)


@pytest.fixture(scope="module")
def tile():
    return pocket_of(stacked([0, 40], [rectangle(40, 24)] * 2))


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
