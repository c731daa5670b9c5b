"""A place in an opening is told by the opening's name, one outside all openings by none."""

import numpy as np
import pytest
from pockets import pocket_of
from stacked import ellipse, stacked

from cradle.checks.holder_findings import openings_at
from cradle.checks.inspection import inspection_dimensions
from cradle.holder.holder import make_holder
from cradle.project.block import BlockSpec, PlateSpec
from cradle.project.opening import DrainSpec, FingerSpec, RoundSpec, Through


def cup_holder(*openings):
    """A holder of a cup with a drain and these openings, on a wall plate."""
    cup = stacked([0.0, 30.0], [ellipse(20.0, 15.0)] * 2)
    pocket = pocket_of(cup, clearance_mm=0.4, top_mm=28.0)
    block = BlockSpec(wall_mm=3.0, floor_mm=4.0)
    plate = PlateSpec(width_mm=104.0, screw="M4", thickness_mm=4.0, spacing_mm=[80.0, 0.0], edge_mm=10.0)
    drain = DrainSpec(diameter_mm=5.0)
    return make_holder(
        [pocket], block=block, openings=[drain, *openings], under=np.zeros((1, 2)), plate=plate
    )


@pytest.fixture(scope="module")
def holder():
    return cup_holder()


def test_each_place_in_an_opening_has_its_name(holder):
    x, z = holder.plate.places_mm[0]
    inside = (holder.plate.front_mm + holder.plate.back_mm) / 2
    # M4: 4.5 mm wide
    places = [(2.4, 0.0, 2.0), (x, inside, z + holder.lift_mm + 2.2), (0.0, 0.0, 20.0)]
    assert openings_at(holder, places) == ["drain 1", "a hole of the plate", ""]


@pytest.mark.parametrize("place", [(12.0, 0.0, 2.0), (0.0, 0.0, 20.0), (30.0, 17.0, 20.0)])
def test_a_place_elsewhere_has_none(holder, place):
    assert openings_at(holder, [place]) == [""]


def test_what_calipers_read_on_an_opening_stands_beside_what_messages_call_it():
    hole = RoundSpec(through=Through.FRONT, at_mm=(0.0, 8.0), diameter_mm=5.0)
    holder = cup_holder(hole, FingerSpec(through=Through.LEFT))
    told = [opening.words for opening in holder.openings]
    assert told == ["drain 1", "round hole 2", "finger notch 3"]
    measured = inspection_dimensions(
        holder, [], block=BlockSpec(wall_mm=3.0, floor_mm=4.0), inside_error_mm=0.0
    )
    names = {one.name.partition(",")[0] for one in measured}
    assert names > set(told)
