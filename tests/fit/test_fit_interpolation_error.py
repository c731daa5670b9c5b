import numpy as np
import pytest

from cradle.fit.between_clearance import COVERAGE, MOST_MM, auto_relief_mm
from cradle.fit.interpolation_error import between_mm, bows
from cradle.geometry.arrays import frozen
from cradle.project.spec import Between
from cradle.sections.section import RingStack


def stack(heights, radii):
    t = np.arange(120) * 2 * np.pi / 120
    ring = np.column_stack([np.cos(t), np.sin(t)])
    return RingStack(
        heights_mm=frozen(heights),
        rings_mm=frozen([r * ring for r in radii]),
        names=tuple(f"s{k}" for k in range(len(heights))),
    )


def test_the_bow_of_a_sphere_is_that_of_its_chord():
    # sphere R 40 cut every 10 from −10 to 10: near its widest section a chord misses by h²/8R = 0.3125
    z = np.array([-10.0, 0.0, 10.0])
    bow = bows(stack(z + 10, np.sqrt(40**2 - z**2)), between=Between.STRAIGHT)
    assert bow * 10**2 / 4 == pytest.approx([0.3125, 0.3125], rel=0.05)
    spread, gap = between_mm(np.array([5.0, 15.0]), section_heights_mm=z + 10, bows_per_mm=bow)
    assert spread == pytest.approx([0.3125, 0.3125], rel=0.05)
    assert gap.tolist() == [0, 1]


def test_a_smooth_loft_through_three_sections_leaves_less():
    # sphere R 40 cut every 10 from −30 to 30: largest radial error 0.679 straight, 0.128 by monotone cubics
    z = np.array([-10.0, 0.0, 10.0])
    three = stack(z + 10, np.sqrt(40**2 - z**2))
    left = bows(three) / bows(three, between=Between.STRAIGHT)
    assert (left > 0.128 / 0.679).all()
    assert (left < 0.5).all()


def test_a_straight_thing_has_no_bow_and_sections_are_exact():
    straight = stack([0, 7, 30, 40], [20, 21.4, 26, 28])
    assert bows(straight) == pytest.approx(0, abs=1e-9)
    curved = bows(stack([0, 10, 20, 30], [20, 24, 26, 26]))
    assert (curved > 0).all()
    spread, _ = between_mm(
        np.array([0.0, 10.0, 20.0, 30.0]),
        section_heights_mm=np.array([0.0, 10.0, 20.0, 30.0]),
        bows_per_mm=curved,
    )
    assert spread == pytest.approx(0, abs=1e-12)


def test_two_sections_are_bowed_by_assumption_and_longer_gaps_more():
    short, long = stack([0, 10], [20, 20]), stack([0, 30], [20, 20])
    assert bows(short) == pytest.approx(bows(long))
    assert bows(short)[0] == pytest.approx(1 / (2 * 3 * 40), rel=0.01)


def test_a_stated_spread_holds_half_way():
    spread, _ = between_mm(
        np.array([5.0, 20.0]),
        section_heights_mm=np.array([0.0, 10.0, 30.0]),
        bows_per_mm=np.array([9.0, 9.0]),
        half_way_mm=0.2,
    )
    assert spread == pytest.approx([0.2, 0.2])


def test_relief_covers_the_least_known_gap_within_reach():
    heights, bow = np.array([0.0, 10.0, 40.0]), np.array([0.002, 0.001])
    assert auto_relief_mm(section_heights_mm=heights, bows_per_mm=bow, reach_mm=30) == pytest.approx(
        COVERAGE * 0.001 * 15**2, abs=0.01
    )
    low = auto_relief_mm(section_heights_mm=heights, bows_per_mm=bow, reach_mm=8)
    assert low == pytest.approx(COVERAGE * 0.002 * 25, abs=0.01)
    assert auto_relief_mm(section_heights_mm=heights, bows_per_mm=100 * bow, reach_mm=30) == MOST_MM
