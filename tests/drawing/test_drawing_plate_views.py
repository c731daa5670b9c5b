"""The wall plate as drawn reads what the project asks for, above the foot on which the holder stands."""

import numpy as np
import pytest
from pockets import pocket_of
from stacked import ellipse, stacked

from cradle.drawing.plate_views import (
    plate_dimensions,
    plate_from_above,
    plate_from_the_front,
    plate_holes,
    screw_heights,
)
from cradle.holder.holder import make_holder
from cradle.project.block import BlockSpec, PlateSpec

TALL_MM = 60.0
FLOOR_MM = 4.0
ASIDE_MM = 0.005
"""A pocket's outline does without points that stand out by less: its middle, where the plate's is, may lie half of that aside."""


def on_a_wall(**plate):
    cup = stacked([0.0, 30.0], [ellipse(20.0, 15.0)] * 2)
    pocket = pocket_of(cup, clearance_mm=0.4, top_mm=28.0)
    block = BlockSpec(wall_mm=3.0, floor_mm=FLOOR_MM, corner_mm=3.0)
    spec = PlateSpec(width_mm=104.0, screw="M4", **plate)
    return make_holder([pocket], block=block, openings=[], under=np.zeros((1, 2)), plate=spec)


@pytest.fixture(scope="module")
def holder():
    return on_a_wall(height_mm=TALL_MM, spacing_mm=[80.0, 40.0], edge_mm=10.0)


def test_a_plate_above_the_rim_has_its_height_and_its_holes_their_distances(holder):
    read = {d.name: d.length_mm for d in plate_dimensions(holder.plate, holder=holder)}
    assert read["plate hole spacing, across"] == pytest.approx(80.0)
    assert read["plate hole spacing, up"] == pytest.approx(40.0)
    assert holder.tall_mm == pytest.approx(TALL_MM)
    assert "plate height" not in read  # the outside height says it


def test_a_plate_lower_than_the_rim_has_a_height_of_its_own():
    low = on_a_wall(height_mm=24.0, spacing_mm=[80.0, 0.0], edge_mm=10.0)
    read = {d.name: d.length_mm for d in plate_dimensions(low.plate, holder=low)}
    assert read["plate height"] == pytest.approx(24.0)
    assert "plate hole spacing, up" not in read


def test_screws_are_measured_from_the_bed(holder):
    heights = screw_heights(holder, edge_mm=52.0)
    assert [h.at_mm for h in heights] == [(52.0, TALL_MM - 10.0 - 40.0), (52.0, TALL_MM - 10.0)]
    assert {h.of for h in heights} == {"screws"}


def test_the_holes_of_a_plate_are_called_out_once(holder):
    (callout,) = plate_holes(holder.plate, lift_mm=holder.lift_mm)
    assert callout.text.startswith("4× Ø4.50, countersunk Ø")  # ISO 273, medium: 4.5 mm for M4
    assert callout.at_mm == pytest.approx((40.0, TALL_MM - 10.0), abs=ASIDE_MM)
    assert callout.radius_mm == pytest.approx(4.5 / 2)


def test_from_the_front_the_plate_stands_on_the_bed_and_from_above_its_wings_stand_out(holder):
    outline, *holes = plate_from_the_front(holder.plate, lift_mm=holder.lift_mm)
    assert outline.points_mm.min(axis=0) == pytest.approx([-52.0, 0.0], abs=ASIDE_MM)
    assert outline.points_mm.max(axis=0) == pytest.approx([52.0, TALL_MM], abs=ASIDE_MM)
    assert len(holes) == 4
    left, right = plate_from_above(holder.plate, holder.plan)
    assert left.points_mm[:, 0].min() == pytest.approx(-52.0, abs=ASIDE_MM)
    assert right.points_mm[:, 0].max() == pytest.approx(52.0, abs=ASIDE_MM)
