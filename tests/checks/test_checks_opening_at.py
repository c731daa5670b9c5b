"""A place in an opening is told by the opening's name, one outside all openings by none."""

import numpy as np
import pytest
from pockets import pocket_of
from stacked import ellipse, stacked

from cradle.checks.opening_at import openings_at
from cradle.holder.holder import make_holder
from cradle.project.block import BlockSpec, PlateSpec
from cradle.project.opening import DrainSpec


@pytest.fixture(scope="module")
def holder():
    cup = stacked([0.0, 30.0], [ellipse(20.0, 15.0)] * 2)
    pocket = pocket_of(cup, clearance_mm=0.4, top_mm=28.0)
    block = BlockSpec(wall_mm=3.0, floor_mm=4.0)
    plate = PlateSpec(width_mm=104.0, screw="M4", thickness_mm=4.0, spacing_mm=[80.0, 0.0], edge_mm=10.0)
    drain = DrainSpec(diameter_mm=5.0)
    return make_holder([pocket], block=block, openings=[drain], under=np.zeros((1, 2)), plate=plate)


def test_each_place_in_an_opening_has_its_name(holder):
    x, z = holder.plate.places_mm[0]
    inside = (holder.plate.front_mm + holder.plate.back_mm) / 2
    # M4: 4.5 mm wide
    places = [(2.4, 0.0, 2.0), (x, inside, z + holder.lift_mm + 2.2), (0.0, 0.0, 20.0)]
    assert openings_at(holder, places) == ["drain 1", "a hole of the plate", ""]


@pytest.mark.parametrize("place", [(12.0, 0.0, 2.0), (0.0, 0.0, 20.0), (30.0, 17.0, 20.0)])
def test_a_place_elsewhere_has_none(holder, place):
    assert openings_at(holder, [place]) == [""]
