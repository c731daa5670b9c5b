"""What an outline alone tells of its turn and mirror line, against how far noise really throws it."""

import numpy as np
import pytest
from section_shapes import pear, pebble
from stacked import ellipse

from cradle.geometry.ring import resample, turned
from cradle.sections.likeness import likeness, mirror_spreads
from cradle.sections.mirror import mirror_lines
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


@pytest.mark.slow
def test_a_mirror_line_is_as_sure_as_noise_lets_it_be():
    """Outlines traced with an error that keeps its direction over some millimetres."""
    rng = np.random.default_rng(7)
    ring = resample(pear(), count=400)
    edge = np.roll(ring, -1, axis=0) - np.roll(ring, 1, axis=0)
    normal = np.column_stack([edge[:, 1], -edge[:, 0]]) / np.hypot(*edge.T)[:, None]
    perimeter = float(np.hypot(*(np.roll(ring, -1, axis=0) - ring).T).sum())
    kernel = np.exp(-0.5 * (np.minimum(np.arange(400), 400 - np.arange(400)) * perimeter / 400 / 12.0) ** 2)
    angles, places, stated = [], [], []
    for _ in range(60):
        noise = np.fft.ifft(np.fft.fft(rng.normal(size=400)) * np.fft.fft(kernel)).real
        noise *= 0.25 / np.sqrt((kernel**2).sum())
        curve = curve_of(ring + noise[:, None] * normal)
        line = mirror_lines(curve, trace_mm=0.25)[0]
        angles.append(np.radians(line.angle_deg - 90.0))
        places.append(line.point_mm[0])
        stated.append(mirror_spreads(curve, line=line, trace_mm=0.25, length_mm=30.0))
    turn, place = np.median(stated, axis=0)
    # an outline's own asymmetry is all that can tell its noise: so not sharper than that
    assert turn == pytest.approx(np.std(angles), rel=0.6)
    assert place == pytest.approx(np.std(places), rel=0.6)
