"""A drawn line's middle and width, on lines of known width."""

import numpy as np
import pytest
from stacked import circle, ellipse

from cradle.pictures.drawn_line import middle_of


@pytest.mark.parametrize("width", [1.0, 6.0])
def test_the_middle_of_a_ring_between_two_circles_is_the_circle_half_way(width):
    middle, found = middle_of(circle(100 + width / 2), circle(100 - width / 2, points=900))
    assert np.hypot(*middle.T) == pytest.approx(np.full(720, 100.0), abs=0.02)
    assert found == pytest.approx(width, abs=0.02)


def test_round_a_corner_the_middle_stays_between_the_edges():
    middle, width = middle_of(ellipse(120, 80, points=700), ellipse(116, 76, points=650))
    level = (middle[:, 0] / 118) ** 2 + (middle[:, 1] / 78) ** 2
    assert np.abs(level - 1).max() < 0.02
    assert width == pytest.approx(4, abs=0.1)
