"""An edge is carried on across what hides it, and left as seen where that would cut a corner."""

from __future__ import annotations

import numpy as np
import pytest
from picture_scene import ellipse

from cradle.pictures.hidden_edges import bridged, strips

COUNT = 1600
RING = ellipse(600, 400, centre=(400, 300), count=COUNT)


def off(ring):
    """Largest distance from the true ellipse, px, nearly."""
    x, y = ((ring - (400, 300)) / (300, 200)).T
    return float(np.abs(np.hypot(x, y) - 1).max() * 200)


@pytest.mark.parametrize("first", [0, 390, 1595])
def test_a_bump_of_a_line_s_width_is_taken_out(first):
    at = (first + np.arange(20)) % COUNT
    bumped = RING.copy()
    bumped[at] += (RING[at] - (400, 300)) / 400 * 4.0
    hidden = np.zeros(COUNT, dtype=bool)
    hidden[at] = True
    assert off(bumped) > 1.5
    mended, left = bridged(bumped, hidden, most_px=6.0)
    assert off(mended) < 0.1
    assert len(mended) == COUNT
    assert left == 0


def test_a_corner_is_not_cut_and_nothing_hidden_changes_nothing():
    side = np.linspace(0, 200, 200, endpoint=False)
    zero, full = np.zeros(200), np.full(200, 200.0)
    square = np.concatenate(
        [np.column_stack(p) for p in ((side, zero), (full, side), (200 - side, full), (zero, 200 - side))]
    )
    hidden = np.zeros(len(square), dtype=bool)
    hidden[185:216] = True
    mended, left = bridged(square, hidden, most_px=4.0)
    assert np.hypot(*(mended - (200.0, 0.0)).T).min() == 0.0
    assert left == 1
    assert bridged(square, np.zeros(len(square), dtype=bool), most_px=4.0)[0] is square
    long = np.zeros(len(square), dtype=bool)
    long[20:180] = True
    assert np.array_equal(np.sort(bridged(square, long, most_px=4.0)[0], axis=0), np.sort(square, axis=0))


def test_a_line_is_carried_on_beyond_where_it_is_seen():
    seen = np.zeros((300, 400), dtype=bool)
    x = np.arange(150, 260)
    seen[np.rint(40 + 0.3 * x).astype(int), x] = True
    out = strips(seen, wide_px=5)
    beyond = np.arange(5, 395)
    assert out[np.rint(40 + 0.3 * beyond).astype(int), beyond].all()
    assert out.mean() < 0.05
    assert not strips(np.zeros((50, 50), dtype=bool), wide_px=5).any()
