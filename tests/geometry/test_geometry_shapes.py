"""Circles and round corners: on the right side of the true curve, and exactly as wide as asked."""

import numpy as np
import pytest
import shapely

from cradle.geometry.ring import signed_area
from cradle.geometry.shapes import circle_around, circle_inside, rounded_rectangle


@pytest.mark.parametrize("points", [3, 8, 48, 181])
def test_a_regular_polygon_in_and_around_a_circle_has_its_known_area(points):
    # n/2 r^2 sin(2 pi/n) inside, n r^2 tan(pi/n) around (any table of mensuration)
    inside, around = circle_inside(7.0, points=points), circle_around(7.0, points=points)
    assert signed_area(inside) == pytest.approx(points / 2 * 49 * np.sin(2 * np.pi / points))
    assert signed_area(around) == pytest.approx(points * 49 * np.tan(np.pi / points))
    middles = (around + np.roll(around, 1, axis=0)) / 2
    assert np.hypot(*inside.T) == pytest.approx(7.0)
    assert np.hypot(*middles.T) == pytest.approx(7.0)


@pytest.mark.parametrize("radii", [(0, 0, 0, 0), (2, 2, 2, 2), (0, 0, 3, 3), (1, 2, 3, 4), (4, 4, 4, 4)])
def test_a_rectangle_loses_a_quarter_of_a_square_less_its_circle_at_each_corner(radii):
    ring = rounded_rectangle(np.array([-5.0, 1.0]), np.array([5.0, 9.0]), radii_mm=radii, steps=90)
    lost = sum((1 - np.pi / 4) * radius**2 for radius in radii)
    assert signed_area(ring) == pytest.approx(80 - lost, rel=1e-4)
    assert ring.min(axis=0).tolist() == [-5.0, 1.0]
    assert ring.max(axis=0).tolist() == [5.0, 9.0]
    assert shapely.Polygon(ring).is_valid
    assert np.linalg.norm(ring - np.roll(ring, 1, axis=0), axis=1).min() > 1e-6


def test_each_radius_is_that_of_its_own_corner():
    box = shapely.box(0, 0, 10, 8)
    for k, corner in enumerate([(0, 0), (10, 0), (10, 8), (0, 8)]):
        radii = [0.0] * 4
        radii[k] = 3.0
        ring = rounded_rectangle(np.zeros(2), np.array([10.0, 8.0]), radii_mm=radii, steps=45)
        lost = box.difference(shapely.Polygon(ring))
        assert lost.distance(shapely.Point(corner)) < 1e-9
        # an arc leaves (sqrt 2 - 1) r between itself and the corner
        assert shapely.Polygon(ring).distance(shapely.Point(corner)) == pytest.approx(
            3.0 * (np.sqrt(2) - 1), rel=1e-3
        )
