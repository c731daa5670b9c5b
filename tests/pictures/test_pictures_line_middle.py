"""A drawn line's middle and width, on lines of known width."""

import numpy as np
import pytest
import shapely
from stacked import circle, ellipse

from cradle.pictures.line_middle import middle_of


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


def _dense(polygon):
    ring = shapely.segmentize(polygon.exterior, 0.05)
    return shapely.get_coordinates(ring)[:-1]


@pytest.mark.parametrize("tips", [3, 5, 8])
def test_tips_and_nooks_are_as_sharp_as_they_were_drawn(tips):
    # the outside of a line drawn by a round point is its path grown by half its width, the inside shrunk: by shapely
    turn = np.arange(2 * tips) * np.pi / tips
    radius = np.where(np.arange(2 * tips) % 2 == 0, 30.0, 14.0)
    star = shapely.Polygon(np.column_stack([radius * np.cos(turn), radius * np.sin(turn)]))
    width = 0.7
    middle, found = middle_of(_dense(star.buffer(width / 2)), _dense(star.buffer(-width / 2)))
    assert found == pytest.approx(width, rel=0.05)
    assert shapely.hausdorff_distance(shapely.Polygon(middle).exterior, star.exterior) < 0.15
