"""How an outline lies on its neighbour: what of it is told, and what the shapes leave open."""

import numpy as np
import pytest
from section_shapes import pebble
from stacked import ellipse

from cradle.geometry.ring import turned
from cradle.sections.likeness import likeness
from cradle.sections.unit_curve import curve_of


def test_a_round_can_s_turn_is_settled_by_nothing_and_a_long_shape_s_is():
    can = curve_of(ellipse(30.0, 30.0))
    round_ones = likeness(can, moving=curve_of(ellipse(28.0, 28.0)))
    assert np.degrees(round_ones.turn_spread_rad) > 20  # far wider than any sheet is laid askew
    long = likeness(curve_of(ellipse(30.0, 20.0)), moving=curve_of(ellipse(33.0, 22.0)))
    slight = likeness(curve_of(ellipse(30.0, 29.0)), moving=curve_of(ellipse(33.0, 32.0)))
    assert 0 < long.turn_spread_rad < slight.turn_spread_rad


@pytest.mark.parametrize("turn", [-7.0, 0.0, 4.0])
def test_a_shape_turned_and_shifted_is_brought_back(turn):
    moved = turned(pebble(), angle_deg=turn) + [4.0, -9.0]
    like = likeness(curve_of(pebble()), moving=curve_of(moved))
    assert np.degrees(like.turn_rad) == pytest.approx(-turn, abs=0.05)
    assert (like.misfit_mm < 0.2) == (turn == 0.0)  # what a shift alone leaves


def test_the_less_two_shapes_are_alike_the_less_a_shift_is_told_from_them():
    lopsided = pebble() * [1.0, 1.4]
    near = likeness(curve_of(pebble()), moving=curve_of(pebble() * 1.1))
    far = likeness(curve_of(pebble()), moving=curve_of(lopsided))
    assert near.misfit_mm < far.misfit_mm
