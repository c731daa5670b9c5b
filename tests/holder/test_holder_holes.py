"""Outlines of holes, against the areas of their figures."""

import numpy as np
import pytest

from cradle.geometry import planar, region_measures
from cradle.holder.holes import opening_ring
from cradle.project.opening import DrainSpec, RoundSpec, SlotSpec, Through, WindowSpec


def area(ring):
    return region_measures.area_mm2(planar.region(ring))


@pytest.mark.parametrize("spec", [DrainSpec(diameter_mm=6), RoundSpec(through=Through.FRONT, diameter_mm=6)])
def test_a_round_hole_is_never_smaller_than_its_circle(spec):
    ring = opening_ring(spec)
    assert np.pi * 9 < area(ring) < 1.003 * np.pi * 9
    assert region_measures.inside(
        3 * 0.9999 * np.array([[np.cos(a), np.sin(a)] for a in np.linspace(0, 6.2, 50)]), planar.region(ring)
    ).all()


def test_a_slot_is_a_rectangle_between_two_half_circles():
    ring = opening_ring(SlotSpec(through=Through.FRONT, width_mm=6, length_mm=20))
    assert area(ring) == pytest.approx(np.pi * 9 + 6 * 14, rel=2e-3)
    assert np.ptp(ring, axis=0) == pytest.approx([20, 6], rel=3e-3)
    upright = opening_ring(SlotSpec(through=Through.FRONT, width_mm=6, length_mm=20, turn_deg=90))
    assert np.ptp(upright, axis=0) == pytest.approx([6, 20], rel=3e-3)
    round_one = opening_ring(SlotSpec(through=Through.FRONT, width_mm=6, length_mm=6))
    assert area(round_one) == pytest.approx(np.pi * 9, rel=3e-3)


@pytest.mark.parametrize("corner", [0.0, 1.0, 4.0])
def test_a_window_s_corners_cut_off_what_a_square_has_more_than_its_circle(corner):
    """(4 − π) r² less than the rectangle, and inscribed arcs a little less still."""
    ring = opening_ring(WindowSpec(through=Through.FRONT, width_mm=20, height_mm=8, corner_mm=corner))
    assert area(ring) == pytest.approx(160 - (4 - np.pi) * corner**2, rel=3e-3)
    assert np.ptp(ring, axis=0) == pytest.approx([20, 8])
    assert region_measures.are_simple([ring]).all()
    if corner == 4.0:  # the short sides are half circles: no point twice
        assert np.linalg.norm(ring - np.roll(ring, 1, axis=0), axis=1).min() > 1e-6


def test_a_window_s_corners_are_no_larger_than_it():
    tiny = opening_ring(WindowSpec(through=Through.FRONT, width_mm=3, height_mm=3))
    assert area(tiny) == pytest.approx(np.pi * 1.5**2, rel=0.02)
    square = opening_ring(
        WindowSpec(through=Through.FRONT, width_mm=8, height_mm=8, corner_mm=0, turn_deg=45)
    )
    assert np.ptp(square, axis=0) == pytest.approx([8 * np.sqrt(2)] * 2)
