import numpy as np
import pytest
from section_shapes import about_perimeter, pebble, polar

from cradle.geometry.ring import turned
from cradle.sections.likeness import Motion, rigid_match
from cradle.sections.unit_curve import curve_of


@pytest.mark.parametrize("factor", [0.6, 1.0, 1.25])
@pytest.mark.parametrize("turn", [-12.0, 0.3, 7.0])
def test_known_motion_between_different_sizes_is_recovered(turn, factor):
    reference = pebble()
    still = about_perimeter(reference, factor)
    moved = np.roll(turned(still, angle_deg=turn) + [13, -8], 211, axis=0)
    a, b = curve_of(reference), curve_of(moved)
    match = rigid_match(a, moving=b)
    back = turned(moved, angle_deg=match.turn_deg) + match.shift_mm
    assert np.abs(np.roll(back, -211, axis=0) - still).max() < 0.02
    assert (match.turn_deg + turn + 180) % 360 - 180 == pytest.approx(0, abs=0.05)
    assert match.misfit < 1e-4


@pytest.mark.parametrize("seed", range(3))
def test_noise_is_averaged_out(seed):
    rng = np.random.default_rng(seed)
    a = curve_of(pebble() + rng.normal(0, 0.05, (600, 2)))
    b = curve_of(turned(pebble(), angle_deg=-6) + rng.normal(0, 0.05, (600, 2)) + [4, 5])
    match = rigid_match(a, moving=b)
    assert match.turn_deg == pytest.approx(6, abs=0.1)
    assert match.shift_mm == pytest.approx(-turned(np.array([[4.0, 5]]), angle_deg=6)[0], abs=0.05)


def test_a_shift_alone_keeps_the_turn():
    a, b = curve_of(pebble()), curve_of(turned(pebble(), angle_deg=10))
    match = rigid_match(a, moving=b, motion=Motion.SHIFT)
    assert match.turn_deg == 0
    assert match.misfit > 0.005


def test_a_circles_turn_is_left_alone():
    ring = polar(720, lambda t: 20 + 0 * t)
    match = rigid_match(curve_of(ring), moving=curve_of(ring * 0.8 + [3, 1]))
    assert match.turn_deg == pytest.approx(0, abs=1e-6)
    assert match.shift_mm == pytest.approx([-3, -1], abs=1e-6)
