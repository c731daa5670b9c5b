"""Twisted quads of a skin: how far their diagonals pass each other."""

import numpy as np
import pytest
from stacked import rectangle

from cradle.geometry.ring import turned
from cradle.loft.skin import twisted


@pytest.mark.parametrize("angle_deg", [2.0, 10.0, 25.0])
def test_the_diagonals_of_a_quad_pass_each_other_at_half_of_what_its_edges_differ(angle_deg):
    """Half way up the one is at the middle of two opposite corners, the other of the other two."""
    low, high = rectangle(20.0, 20.0), turned(rectangle(20.0, 20.0), angle_deg=angle_deg)
    apart = np.hypot(*((low + np.roll(high, -1, axis=0)) / 2 - (np.roll(low, -1, axis=0) + high) / 2).T)
    both = np.array([low, high])
    assert twisted(both, twist_mm=0.95 * apart.max()).all()
    assert not twisted(both, twist_mm=1.05 * apart.max()).any()


def test_between_parallel_edges_a_quad_is_plain_however_much_longer_one_is():
    assert not twisted(np.array([rectangle(20.0, 10.0), rectangle(50.0, 25.0)]), twist_mm=1e-9).any()
