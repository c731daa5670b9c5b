"""The bow of stacks against the sagitta of a sphere's chord."""

import numpy as np
import pytest
from fit_models import round_stack

from cradle.fit.bow import bows
from cradle.project.section import Between


def test_the_bow_of_a_sphere_is_that_of_its_chord():
    # sphere R 40 cut every 10 from −10 to 10: near its widest section a chord misses by h²/8R = 0.3125
    z = np.array([-10.0, 0.0, 10.0])
    bow = bows(round_stack(z + 10, np.sqrt(40**2 - z**2)), between=Between.STRAIGHT)
    assert bow * 10**2 / 4 == pytest.approx([0.3125, 0.3125], rel=0.05)


def test_a_smooth_loft_through_three_sections_leaves_less():
    # sphere R 40 cut every 10 from −30 to 30: largest radial error 0.679 straight, 0.128 by monotone cubics
    z = np.array([-10.0, 0.0, 10.0])
    three = round_stack(z + 10, np.sqrt(40**2 - z**2))
    left = bows(three) / bows(three, between=Between.STRAIGHT)
    assert (left > 0.128 / 0.679).all()
    assert (left < 0.5).all()


def test_a_straight_thing_has_no_bow_and_sections_are_exact():
    straight = round_stack([0, 7, 30, 40], [20, 21.4, 26, 28])
    assert bows(straight) == pytest.approx(0, abs=1e-9)
    curved = bows(round_stack([0, 10, 20, 30], [20, 24, 26, 26]))
    assert (curved > 0).all()


def test_two_sections_are_bowed_by_assumption_and_longer_gaps_more():
    short, long = round_stack([0, 10], [20, 20]), round_stack([0, 30], [20, 20])
    assert bows(short) == pytest.approx(bows(long))
    assert bows(short)[0] == pytest.approx(1 / (2 * 3 * 40), rel=0.01)
