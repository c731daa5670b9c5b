"""Which corners belong together, on rings whose corners are known."""

import numpy as np
import shapely
from bodies import bracket, gear, rectangle

from cradle.matching.corner_pairs import corner_pairs
from cradle.matching.matching_ring import trace


def paired(here, there):
    """Coordinates of the paired corners, here and there, when each is looked for where it is nearest."""
    one, two = trace(np.asarray(here, dtype=float)), trace(np.asarray(there, dtype=float))
    line = shapely.LineString(np.vstack([one.points_mm, one.points_mm[:1]]))
    corners = shapely.points(two.points_mm[two.corners])
    pairs = corner_pairs(one, two, expected=shapely.line_locate_point(line, corners, normalized=True) % 1.0)
    return one.points_mm[one.corners[pairs[:, 0]]], two.points_mm[two.corners[pairs[:, 1]]], pairs


def test_every_corner_of_a_bracket_is_paired_with_its_own():
    a, b, pairs = paired(bracket(10), bracket(7))
    assert len(pairs) == 6
    assert np.allclose(b, 0.7 * a)
    assert (np.diff(pairs[:, 0]) > 0).all()


def test_a_corner_that_the_other_ring_lacks_stays_alone():
    cut = np.array([[-20, -15], [20, -15], [20, 10], [15, 15], [-20, 15.0]])
    a, b, pairs = paired(cut, rectangle(40, 30))
    assert 3 <= len(pairs) <= 4
    assert len(set(pairs[:, 0].tolist())) == len(set(pairs[:, 1].tolist())) == len(pairs)
    for corner in ([-20, -15], [20, -15], [-20, 15]):
        k = np.flatnonzero((a == corner).all(axis=1))
        assert len(k) == 1
        assert np.allclose(b[k[0]], corner)


def test_inner_corners_are_never_paired_with_outer_ones():
    one, two = trace(gear(20)), trace(gear(20, turn=np.pi / 16))  # teeth where the other has gaps
    pairs = corner_pairs(one, two, expected=two.positions[two.corners])
    assert ((one.turns_deg[pairs[:, 0]] > 0) == (two.turns_deg[pairs[:, 1]] > 0)).all()
    assert set(np.sign(one.turns_deg)) == {-1.0, 1.0}


def test_a_ring_without_corners_pairs_none():
    angle = np.arange(200) * np.pi / 100
    smooth = trace(20 * np.column_stack([np.cos(angle), 0.7 * np.sin(angle)]))
    assert len(smooth.corners) == 0
    assert corner_pairs(smooth, trace(bracket(10) * 1.0), expected=np.zeros(0)).shape == (0, 2)
