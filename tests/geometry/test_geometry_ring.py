import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from stacked import circle, rectangle

from cradle.geometry import ring


def test_area_of_an_inscribed_polygon_is_the_ellipse_times_a_known_factor():
    # n-gon inscribed in an ellipse: (n / 2 pi) sin(2 pi / n) of its area; derived, elementary geometry
    for n, factor in ((64, 0.9983944), (180, 0.9997969), (360, 0.9999492)):
        area = ring.signed_area(circle(30.0, points=n, squash=2 / 3))
        assert area / (np.pi * 30 * 20) == pytest.approx(factor, abs=1e-7)


@given(st.integers(0, 11), st.floats(-1e4, 1e4), st.floats(-180, 180))
def test_start_direction_place_and_turn_change_no_measure(start, shift, angle_deg):
    shape = circle(7.0, points=12, squash=0.5) + np.array([0.3, 0.0])
    moved = ring.turned(np.roll(shape, start, axis=0) + shift, angle_deg=angle_deg)
    assert ring.signed_area(moved) == pytest.approx(ring.signed_area(shape), rel=1e-7)
    assert ring.signed_area(moved[::-1]) == pytest.approx(-ring.signed_area(shape), rel=1e-7)
    assert ring.perimeter(moved) == pytest.approx(ring.perimeter(shape), rel=1e-9)
    assert np.allclose(
        ring.centroid(moved),
        ring.turned(ring.centroid(shape)[None] + shift, angle_deg=angle_deg)[0],
        atol=1e-4,
    )


def test_size_and_extents_are_what_calipers_read():
    shape = rectangle(30, 20) + [5, 7]
    assert ring.size(shape) == (30, 20)
    assert ring.extents(shape) == (-10, -3, 20, 17)
    assert ring.size(ring.turned(shape, angle_deg=45)) == pytest.approx((50 / np.sqrt(2), 50 / np.sqrt(2)))


def test_resampling_keeps_start_and_spacing():
    even = ring.resample(rectangle(30, 20), count=100)
    assert np.allclose(even[0], [-15, -10])
    assert np.allclose(ring.edge_lengths(even), 1.0)


def test_thinning_moves_the_outline_less_than_asked_and_does_thin():
    dense = ring.resample(rectangle(30, 20), count=400)
    thin = ring.thinned(dense, within_mm=1e-6)
    assert len(thin) < 210
    assert ring.signed_area(thin) == pytest.approx(600)
    assert len(ring.thinned(circle(20, points=90), within_mm=1e-3)) == 90


def test_clockwise_rings_are_turned_round_and_keep_their_first_point():
    wrong = rectangle(2, 2)[::-1]
    right = ring.counter_clockwise(wrong)
    assert ring.signed_area(right) == 4
    assert np.array_equal(right[0], wrong[0])


def test_points_along_a_ring_lie_where_shapely_finds_them():
    points = circle(20, points=37, squash=0.6)
    total = ring.perimeter(points)
    at = np.linspace(-1.5, 2.5, 90) * total
    line = shapely.LineString(np.concatenate([points, points[:1]]))
    found = shapely.get_coordinates(shapely.line_interpolate_point(line, at % total))
    assert ring.along(points, at) == pytest.approx(found, abs=1e-9)


def test_outward_is_the_gradient_of_an_ellipse_and_specks_do_not_turn_it():
    """The normal of x²/a² + y²/b² = 1 is along its gradient."""
    a, b = 30.0, 18.0
    points = circle(a, points=720, squash=b / a)
    gradient = points / [a * a, b * b]
    true = gradient / np.linalg.norm(gradient, axis=1)[:, None]
    assert np.abs(ring.outward(points, reach_mm=1.0) - true).max() < 2e-3
    rough = points + np.random.default_rng(5).normal(0, 0.01, points.shape)
    smooth, raw = (np.abs(ring.outward(rough, reach_mm=reach) - true).max() for reach in (2.0, 0.05))
    assert smooth < 0.03 < raw


def test_the_areas_of_many_rings_are_those_of_each():
    rings = [circle(3.0, points=7), rectangle(4, 5)[::-1], circle(2.0, points=50) + 1e5]
    assert ring.signed_areas(rings) == pytest.approx([ring.signed_area(one) for one in rings], rel=1e-9)


@pytest.mark.parametrize("roughness_mm", [0.002, 0.005, 0.01, 0.02, 0.1, 1.0])
def test_valleys_are_filled_within_the_distance_however_rough_the_ring_is(roughness_mm):
    rng, within, gone = np.random.default_rng(7), 0.013, 0
    for count in rng.integers(4, 400, size=40):
        angle = np.sort(rng.uniform(0, 2 * np.pi, count))
        radius = 20 + rng.normal(0, roughness_mm, count)
        rough = np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])
        if not shapely.LinearRing(rough).is_simple or ring.signed_area(rough) < 100:
            continue
        filled = ring.valleys_filled(rough, within_mm=within)
        whole = shapely.Polygon(filled)
        assert whole.is_valid
        assert shapely.Polygon(rough).difference(whole).area < 1e-9
        assert shapely.distance(shapely.points(rough), whole.exterior).max() < within
        gone += len(rough) - len(filled)
    assert gone > 100
