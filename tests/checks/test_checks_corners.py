"""Corners of the block that are smaller than asked: told, with what they are."""

import numpy as np
import pytest
from daily import each_value_daily
from pockets import make_pocket
from stacked import UP, circle, rectangle, stacked

from cradle.checks.corners import corner_findings, front_corner_mm
from cradle.finding import Severity
from cradle.geometry.planar import region
from cradle.holder.holder import make_holder
from cradle.pocket.clearance import clearance_profile
from cradle.pocket.prepared_body import prepared
from cradle.project.block import BlockForm, BlockSpec, CornerForm, PlateHole, PlateSpec

GAP_MM = 0.5
PLATE = PlateSpec(width_mm=90.0, hole=PlateHole.PLAIN, diameter_mm=4.0)


def holder(shape, block, *, plate=None):
    """A block round a straight thing of 40 mm, its gap the same everywhere."""
    gap = clearance_profile([0, 40], [None, None], default_mm=GAP_MM)
    looked_at = prepared(stacked([0, 40], [shape, shape]))
    pocket = make_pocket(looked_at, clearance=gap, direction=UP, top_mm=30.0, lead_in_mm=1.0)
    return make_holder([pocket], block=block, openings=[], under=np.zeros((1, 2)), plate=plate)


@pytest.mark.slow
@pytest.mark.parametrize(("corner_form", "corner"), each_value_daily(CornerForm, [0.0, 2.0, 5.0]))
def test_corners_that_are_as_asked_are_measured_and_not_told(corner_form, corner):
    block = BlockSpec(corner_mm=corner, corner_form=corner_form)
    made = holder(circle(20), block)
    assert front_corner_mm(made.plan) == pytest.approx(corner, abs=1e-6)
    assert not [*corner_findings(made, block=block)]


def test_a_round_thing_gets_a_round_block_at_most():
    block = BlockSpec(corner_mm=60.0, wall_mm=3.0, flare_mm=0.0)
    (found,) = corner_findings(holder(circle(20), block), block=block)
    assert (found.code, found.severity, found.where) == ("corner-smaller", Severity.NOTE, "block.corner")
    assert (found.limit, found.unit) == (60.0, "mm")
    largest = 20 + GAP_MM + 3  # half the block; corners are tried in steps of 1/16 of it
    assert largest * 15 / 16 - 0.01 <= found.measured <= largest
    assert f"from 60 mm to {found.measured:.1f} mm" in str(found)


def test_round_corners_end_where_the_wall_round_a_sharp_corner_does():
    """A sharp corner with its gap and its wall is an arc of both: no larger one leaves that wall."""
    block = BlockSpec(corner_mm=12.0, wall_mm=4.0)
    (found,) = corner_findings(holder(rectangle(50, 30), block), block=block)
    assert 4.0 + GAP_MM - 12.0 / 16 - 0.05 <= found.measured <= 4.0 + GAP_MM + 0.05


@pytest.mark.slow
def test_beside_a_wall_plate_the_front_corners_count():
    asked, more = BlockSpec(corner_mm=5.0), BlockSpec(corner_mm=60.0)
    assert not [*corner_findings(holder(circle(20), asked, plate=PLATE), block=asked)]
    assert len([*corner_findings(holder(circle(20), more, plate=PLATE), block=more)]) == 1


@pytest.mark.slow
@pytest.mark.parametrize("form", [BlockForm.OVAL, BlockForm.HUG])
def test_other_forms_have_no_such_corners(form):
    block = BlockSpec(form=form, corner_mm=60.0)
    assert not [*corner_findings(holder(circle(20), block), block=block)]


def test_a_corner_is_read_off_its_front_side():
    cut = np.array([[3, 0], [17, 0], [20, 3], [20, 30], [0, 30], [0, 3.0]])
    assert front_corner_mm(region(cut)) == pytest.approx(3.0)


@pytest.mark.parametrize("wall_mm", [16.0, 20.0, 60.0])
def test_a_thick_wall_keeps_its_corners(wall_mm):
    """From 20 mm on the facets of its own arcs were taken for a wall that larger corners would cut into."""
    block = BlockSpec(corner_mm=4.0, wall_mm=wall_mm)
    made = holder(rectangle(40, 24), block)
    assert front_corner_mm(made.plan) == pytest.approx(4.0, abs=1e-6)
    assert not [*corner_findings(made, block=block)]
