"""What calipers should read of walls between pockets, on pockets that lie side by side and on those that do not."""

import numpy as np
import pytest

from cradle.checks.inspection import _nearest


def oval(x, y, *, width=40.0, depth=40.0):
    turn = np.arange(360) * (2 * np.pi / 360)
    return np.column_stack([x + width / 2 * np.cos(turn), y + depth / 2 * np.sin(turn)])


@pytest.mark.parametrize("aside", [0.0, 12.0, 30.0])
def test_a_wall_is_read_where_two_round_pockets_are_nearest(aside):
    """Two circles of one size are nearest along x half way between their middles, by the circle's equation."""
    y, edge = _nearest(oval(0, 0), oval(50, aside))
    assert y == pytest.approx(aside / 2, abs=0.5)
    assert edge == pytest.approx(np.sqrt(20**2 - (aside / 2) ** 2), abs=0.1)


@pytest.mark.parametrize("aside", [36.0, 39.9, 55.0, -60.0])
def test_of_pockets_that_hardly_face_each_other_there_is_none(aside):
    assert _nearest(oval(0, 0), oval(50, aside)) is None
