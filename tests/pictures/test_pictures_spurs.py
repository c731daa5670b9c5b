"""Arrows and words that run up to a drawn line are left out, and nothing else is."""

import numpy as np
import pytest
from lines_drawn import RING, lines_traced
from scipy.spatial import cKDTree
from things_painted import lobed

from cradle.errors import CaptureError
from cradle.geometry.ring import along, arc_positions
from cradle.pictures.spurs import parted


def _off_mm(piece, ring):
    """The 95th percentile and the largest of how far a traced line lies from the true one, laid best on it."""
    dense, traced = (along(r, np.linspace(0, arc_positions(r)[-1], 5000)) for r in (ring, piece.ring_mm))
    tree = cKDTree(dense)
    traced = traced + dense.mean(axis=0) - traced.mean(axis=0)
    for _ in range(20):
        away, at = tree.query(traced)
        near = away <= np.quantile(away, 0.8)
        traced = traced + (dense[at] - traced)[near].mean(axis=0)
    return float(np.quantile(away, 0.95)), float(away.max())


def _arrow(tip, tail):
    """Shaft and head of an arrow."""
    tip, tail = np.array(tip, float), np.array(tail, float)
    back = (tail - tip) / np.hypot(*(tail - tip))
    side = np.array([-back[1], back[0]])
    return [tail, tip], [tip + 2 * back + side, tip, tip + 2 * back - side]


@pytest.mark.parametrize(
    ("places", "reach"),
    [((40,), 14.0), ((200, 460), 10.0), ((40,), -9.0), ((300, 610), -8.0)],
    ids=["outside", "two", "inside", "two inside"],
)
def test_a_line_that_arrows_touch_is_traced_without_them(tmp_path, places, reach):
    arrows = []
    for k in places:
        away = RING[k] - RING.mean(axis=0)
        arrows += _arrow(RING[k], RING[k] + reach * away / np.hypot(*away))
    traced = lines_traced(tmp_path, *arrows)
    (piece,) = traced.pieces
    p95, most = _off_mm(piece, RING)
    assert p95 < 0.05
    assert most < 0.4  # half the line
    assert sum(finding.code == "line-spurs" for finding in traced.findings) == 1


def _star(reach, nook=0.3):
    """A star of five about the middle of the sheet; its tips are as sharp as 26 degrees."""
    turn = np.pi / 2 + np.arange(10) * np.pi / 5
    far = np.where(np.arange(10) % 2, nook * reach, reach)
    return np.column_stack([far * np.cos(turn), far * np.sin(turn)]) + (34, 30)


def _crescent():
    """Between two arcs that meet at 17 degrees; both run the same way round at its tips."""
    outer = np.linspace(np.radians(-120), np.radians(120), 200)
    x, y = 22.0 * np.cos(outer), 22.0 * np.sin(outer)
    chord, tall = x[0], y[-1]
    bend = np.radians(120 - 17)
    radius = tall / np.sin(bend)
    inner = np.linspace(bend, -bend, 200)[1:-1]
    away = np.column_stack([radius * (np.cos(inner) - np.cos(bend)) + chord, radius * np.sin(inner)])
    return np.concatenate([np.column_stack([x, y]), away]) + (34, 30)


@pytest.mark.parametrize("ring", [_star(27.0), _crescent()], ids=["star", "crescent"])
def test_a_lines_own_sharp_tips_are_no_spurs(tmp_path, ring):
    traced = lines_traced(tmp_path, rings=(ring,))
    (piece,) = traced.pieces
    assert "line-spurs" not in {finding.code for finding in traced.findings}
    assert np.ptp(piece.ring_mm, axis=0) == pytest.approx(np.ptp(ring, axis=0), abs=0.4)  # half the line


def test_an_arrow_at_a_sharp_tip_is_left_out(tmp_path):
    star = _star(22.0)
    traced = lines_traced(tmp_path, [star[0], star[0] + (0.0, 6.0)], rings=(star,))
    (piece,) = traced.pieces
    assert "line-spurs" in {finding.code for finding in traced.findings}
    assert np.ptp(piece.ring_mm, axis=0) == pytest.approx(
        np.ptp(star, axis=0), abs=1.6
    )  # two widths of the line


def test_two_lines_joined_by_an_arrow_are_two(tmp_path):
    rings = (lobed(28) + (22, 25), lobed(28) + (62, 25))
    left, right = rings[0][rings[0][:, 0].argmax()], rings[1][rings[1][:, 0].argmin()]
    traced = lines_traced(tmp_path, [left, right], rings=rings, size_mm=(84, 50))
    assert len(traced.pieces) == 2
    for piece, ring in zip(traced.pieces, rings, strict=True):
        assert _off_mm(piece, ring)[1] < 0.15


def test_a_line_with_nothing_on_it_stays_as_it_is():
    own = np.zeros((120, 140), bool)
    own[20:100, 20:120] = True
    own[28:92, 28:112] = False
    drawn = parted(own)
    assert (drawn.line == own).all()
    assert not drawn.rest.any()


@pytest.mark.parametrize("turn_deg", [0, 15, 30, 60, 75])
def test_what_reaches_far_from_a_line_is_cut_off_at_it(turn_deg):
    """Whichever way it points: a distance transform is a hundredth short along some."""
    y, x = np.mgrid[0:700, 0:700] - 350.0
    turn = np.radians(turn_deg)
    along, off = x * np.cos(turn) + y * np.sin(turn), y * np.cos(turn) - x * np.sin(turn)
    round_ = np.abs(np.hypot(x, y) - 50.0) <= 4.0
    drawn = parted(round_ | ((along > 50.0) & (along < 320.0) & (np.abs(off) < 3.0)))
    assert not drawn.line[np.hypot(x, y) > 60.0].any()
    assert drawn.line[round_].all()


def test_which_side_of_a_line_across_is_meant_is_not_guessed(tmp_path):
    """It ends on the outline: half of that would be lost in silence."""
    at = RING[np.abs(RING[:, 0] - 24) < 0.3]
    with pytest.raises(CaptureError, match="no closed line"):
        lines_traced(tmp_path, [at[at[:, 1].argmin()], at[at[:, 1].argmax()]])
