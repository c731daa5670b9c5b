"""A straight line through a drawn outline and past it on both sides is no part of it; a straight side is."""

from __future__ import annotations

import numpy as np
import pytest
from lines_drawn import RING, lines_traced

from cradle.geometry.ring import signed_area

PENCIL = (70, 70, 75)


def _codes(traced):
    return [finding.code for finding in traced.findings]


@pytest.mark.first_daily
@pytest.mark.parametrize(
    ("strokes", "look"),
    [
        ([[(24, -3), (24, 63)]], {"width_mm": 0.3, "colour": (225, 120, 130)}),
        ([[(21, -3), (23, 63)], [(24, -3), (26, 63)]], {"width_mm": 0.3, "colour": (120, 160, 210)}),
        ([[(9, 20), (58, 42)]], {}),
        ([[(9, 20), (58, 42)], [(24, 57), (43, 4)]], {"colour": PENCIL}),
    ],
    ids=["a margin", "a double margin", "a middle line of the same pen", "a cross in pencil"],
)
def test_a_straight_line_through_an_outline_is_left_out_and_told(tmp_path, strokes, look):
    traced = lines_traced(tmp_path, *strokes, **look)
    (piece,) = traced.pieces
    assert np.sqrt(abs(signed_area(piece.ring_mm)) / abs(signed_area(RING))) == pytest.approx(1, abs=2e-3)
    assert np.ptp(piece.ring_mm, axis=0) == pytest.approx(np.ptp(RING, axis=0), abs=0.12)
    assert _codes(traced).count("line-across") == len(strokes)


@pytest.mark.parametrize("past", [0.0, 6.0], ids=["to the outline", "past it"])
def test_the_straight_side_of_a_half_is_part_of_it(tmp_path, past):
    half = RING[RING[:, 0] < 34]
    half = np.roll(half, -int(np.hypot(*np.diff(half, axis=0, append=half[:1]).T).argmax()) - 1, axis=0)
    traced = lines_traced(tmp_path, [half[0] + (0, past), half[-1] - (0, past)], rings=[half])
    (piece,) = traced.pieces
    assert np.ptp(piece.ring_mm, axis=0) == pytest.approx(np.ptp(half, axis=0), abs=0.4)  # corners with ends
    assert "line-across" not in _codes(traced)


def test_sides_drawn_past_their_corners_stay(tmp_path):
    corners = np.array([(14.0, 12.0), (56.0, 12.0), (56.0, 48.0), (14.0, 48.0)])
    sides = [
        (one - 4 * way, other + 4 * way)
        for one, other in zip(corners, np.roll(corners, -1, axis=0), strict=True)
        for way in [(other - one) / np.hypot(*(other - one))]
    ]
    traced = lines_traced(tmp_path, *sides, rings=[corners])
    (piece,) = traced.pieces
    assert np.ptp(piece.ring_mm, axis=0) == pytest.approx((42, 36), abs=0.15)
    assert "line-across" not in _codes(traced)
