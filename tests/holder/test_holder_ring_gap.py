"""Test rings of a can, open where the holder around it has notches."""

import numpy as np
import pytest
from stacked import UP, circle, stacked

from cradle.geometry.mesh import bounds_mm, component_count, edge_statistics
from cradle.geometry.planar import common, region
from cradle.geometry.region_measures import area_mm2, empty
from cradle.geometry.shapes import rectangle
from cradle.geometry.solid import cut_regions, solid
from cradle.holder.fit_pieces import ring_piece
from cradle.holder.ring_gap import Notched
from cradle.pocket.clearance import clearance_profile
from cradle.pocket.prepared_body import prepared
from cradle.pocket.slices import pocket_slices
from cradle.pocket.stance import stand_matrix
from cradle.project.opening import NotchSpec, Through
from cradle.project.printer import RingForm
from cradle.project.side import Side

RADIUS_MM, HEIGHT_MM, RIM_MM, WIDE_MM = 20.0, 15.0, 30.0, 12.0
CAN = stacked([0, 60], [circle(RADIUS_MM)] * 2)
TO = {Side.LEFT: (-1, 0), Side.RIGHT: (1, 0), Side.FRONT: (0, -1), Side.BACK: (0, 1)}
LOW = 20.0
"""Depth of a notch that goes down past the ring."""


def notch(side, *, depth_mm=LOW, at_mm=None):
    return NotchSpec(
        through=Through(side), width_mm=WIDE_MM, depth_mm=None if at_mm else depth_mm, at_mm=at_mm
    )


def ring_with(*notches, form=RingForm.CLOSED, lean_deg=0.0):
    clearance = clearance_profile([0.0], [None], default_mm=0.3)
    (hollow,) = pocket_slices(
        prepared(CAN), heights_mm=[HEIGHT_MM], thickness_mm=2.4, clearance=clearance, direction=UP
    )
    stand = stand_matrix(CAN.vertices_mm, lean_deg=lean_deg)
    notched = Notched(
        notches=notches, middle_mm=(stand @ [0, 0, 16, 1])[:2], top_mm=RIM_MM, stand_from_thing=stand
    )
    (hole,) = cut_regions(hollow.solid, np.array([HEIGHT_MM]))
    return ring_piece(
        hollow,
        section="belly",
        height_mm=HEIGHT_MM,
        clearance_mm=0.3,
        number=1,
        form=form,
        gaps=notched.gaps(hole, height_mm=HEIGHT_MM),
    )


def open_at(piece, *, off_mm=0.0):
    """The sides on which nothing of a ring is within the width of a notch, its middle so far along the wall."""
    (ring,) = cut_regions(solid(piece.mesh, where="ring"), np.array([1.2]))
    half = WIDE_MM / 2 - 0.05
    found = set()
    for side, (x, y) in TO.items():
        along = np.array([abs(y), abs(x)])
        middle = np.array([x, y]) * (RADIUS_MM + 2) + along * off_mm
        near = np.array([abs(x), abs(y)]) * 4.0
        strip = region(rectangle(middle - near - along * half, middle + near + along * half))
        if empty(common(ring, strip)):
            found.add(side)
    return found


@pytest.mark.parametrize("side", Side)
def test_a_ring_is_open_where_a_notch_goes_down_past_it_and_in_one_piece(side):
    piece = ring_with(notch(side))
    assert open_at(piece) == {side}
    assert edge_statistics(piece.mesh).closed
    assert component_count(piece.mesh) == 1
    assert piece.whole_at == ()


@pytest.mark.parametrize("side", Side)
def test_its_name_stands_where_it_is_whole(side):
    low, high = bounds_mm(ring_with(notch(side)).mesh)
    stands_out = {Side.FRONT: -low[1], Side.BACK: high[1]}
    own = Side.BACK if side is Side.FRONT else Side.FRONT
    assert [one for one, mm in stands_out.items() if mm > RADIUS_MM + 5] == [own]
    (letters,) = cut_regions(solid(ring_with(notch(side)).mesh, where="ring"), np.array([2.7]))
    (plain,) = cut_regions(solid(ring_with().mesh, where="ring"), np.array([2.7]))
    assert area_mm2(letters) == pytest.approx(area_mm2(plain), rel=1e-6)


@pytest.mark.parametrize("lying", [{"depth_mm": 13.0}, {"at_mm": (0.0, 17.0)}])
def test_a_ring_below_a_notch_is_whole(lying):
    assert open_at(ring_with(notch(Side.LEFT, **lying))) == set()


def test_a_gap_lies_where_its_notch_does():
    assert open_at(ring_with(notch(Side.LEFT, at_mm=(5.0, 10.0))), off_mm=5.0) == {Side.LEFT}


def test_the_gap_of_a_leaning_thing_lies_where_its_notch_is_at_the_rings_height():
    """Leaning back by 20 degrees, a point of its axis 15 mm up lies 15 sin 20 = 5.13 mm farther back than its foot."""
    back = HEIGHT_MM * np.sin(np.radians(20))
    straight = notch(Side.RIGHT, at_mm=(float(back), 5.0))
    assert open_at(ring_with(straight, lean_deg=20.0)) == {Side.RIGHT}
    ahead = notch(Side.RIGHT, at_mm=(0.0, 5.0))
    assert open_at(ring_with(ahead, lean_deg=20.0), off_mm=-back / np.cos(np.radians(20))) == {Side.RIGHT}


def test_a_ring_that_would_fall_apart_is_open_at_its_first_notch_alone():
    piece = ring_with(notch(Side.LEFT), notch(Side.RIGHT))
    assert open_at(piece) == {Side.LEFT}
    assert piece.whole_at == (Side.RIGHT,)


@pytest.mark.parametrize("side", Side)
def test_a_ring_open_behind_is_open_at_its_notch_too_and_whole_behind_where_it_would_fall_apart(side):
    piece = ring_with(notch(side), form=RingForm.OPEN)
    assert open_at(piece) == ({side} if side is Side.FRONT else {side, Side.BACK})
    assert component_count(piece.mesh) == 1
    assert edge_statistics(piece.mesh).closed
