"""Flattened curves stay within the chord error and reach their extremes."""

import math

import numpy as np
import pytest
import shapely
from scipy.interpolate import BSpline

from cradle.drawings.flatten import arc_points, bezier_points, bulge_points
from cradle.drawings.spline import spline_points
from cradle.errors import OutlineError
from cradle.geometry.ring import signed_area


def furthest(points, true):
    """How far true points lie from a polyline."""
    line = shapely.linestrings(points)
    return float(shapely.distance(shapely.points(true), line).max())


def de_casteljau(control, t):
    return np.array([[((1 - s) ** 3) * control[0] + 3 * s * (1 - s) ** 2 * control[1]
                      + 3 * s * s * (1 - s) * control[2] + s**3 * control[3]] for s in t])[:, 0]  # fmt: skip


@pytest.mark.parametrize("chord_mm", [0.1, 0.01, 0.001])
@pytest.mark.parametrize("seed", range(12))
def test_cubics_stay_within_the_chord_error_with_few_points(seed, chord_mm):
    control = np.random.default_rng(seed).uniform(-40, 40, (4, 2))
    points = bezier_points(control, chord_mm=chord_mm)
    true = de_casteljau(control, np.linspace(0, 1, 5001))
    assert furthest(points, true) <= chord_mm * (1 + 1e-9)
    assert points.min(axis=0) == pytest.approx(true.min(axis=0), abs=1e-5)
    assert points.max(axis=0) == pytest.approx(true.max(axis=0), abs=1e-5)
    assert (points.max(axis=0) >= true.max(axis=0) - 1e-12).all()
    fewest = furthest(points, true) / chord_mm
    assert fewest > 0.02, "far more points than needed"


def test_fewer_points_for_a_coarser_chord():
    control = np.array([[0.0, 0.0], [0.0, 30.0], [60.0, 30.0], [60.0, 0.0]])
    fine, coarse = (len(bezier_points(control, chord_mm=c)) for c in (0.001, 0.1))
    assert fine == pytest.approx(10 * coarse, rel=0.2)  # the error falls with the square of the step


def test_a_straight_bezier_curve_needs_two_points():
    assert len(bezier_points(np.array([[0.0, 0.0], [10.0, 10.0], [20.0, 20.0]]), chord_mm=0.01)) == 2


@pytest.mark.parametrize("chord_mm", [0.1, 0.01, 0.001])
@pytest.mark.parametrize(
    ("start", "sweep"), [(0.0, 2 * math.pi), (1.0, 2.0), (2.0, -4.0), (-0.3, 0.05), (0.5, -2 * math.pi)]
)
def test_arcs_of_skewed_ellipses_stay_within_the_chord_error(start, sweep, chord_mm):
    centre, a, b = np.array([5.0, -7.0]), np.array([30.0, 4.0]), np.array([-8.0, 12.0])
    points = arc_points(centre, a, b, start_rad=start, sweep_rad=sweep, chord_mm=chord_mm)
    t = np.linspace(start, start + sweep, 20_001)[:, None]
    true = centre + a * np.cos(t) + b * np.sin(t)
    assert furthest(points, true) <= chord_mm * (1 + 1e-9)
    assert points[0] == pytest.approx(true[0], abs=1e-12)
    assert points[-1] == pytest.approx(true[-1], abs=1e-12)
    assert points.min(axis=0) == pytest.approx(true.min(axis=0), abs=1e-5)
    assert points.max(axis=0) == pytest.approx(true.max(axis=0), abs=1e-5)


def test_a_polygon_in_an_ellipse_has_its_known_area():
    # derived, elementary geometry: area of the n-gon over that of the ellipse is (n / 2 pi) sin(2 pi / n)
    stated = {64: 0.9983944, 180: 0.9997969, 360: 0.9999492}
    for n, factor in stated.items():
        chord = 30 * (1 - math.cos(math.pi / n)) * (1 + 1e-12)
        ring = arc_points(
            np.zeros(2),
            np.array([30.0, 0.0]),
            np.array([0.0, 20.0]),
            start_rad=0.0,
            sweep_rad=2 * math.pi,
            chord_mm=chord,
        )[:-1]
        assert len(ring) == n
        assert signed_area(ring) / (math.pi * 600) == pytest.approx(factor, abs=1e-7)


@pytest.mark.parametrize("bulge", [1.0, -1.0, 0.2, -0.4, 3.0, 1e-6])
def test_a_bulge_is_how_far_an_arc_leaves_half_its_chord(bulge):
    # bulge = tan(included angle / 4), DXF Reference, LWPOLYLINE; the sagitta is bulge x half the chord
    start, end = np.array([10.0, 5.0]), np.array([30.0, 5.0])
    points = bulge_points(start, end, bulge=bulge, chord_mm=0.001)
    off = points[:, 1].min() if bulge > 0 else points[:, 1].max()
    assert off == pytest.approx(5.0 - bulge * 10.0, abs=1e-3)
    assert points[[0, -1]].tolist() == [start.tolist(), end.tolist()]


def test_a_semicircle_by_bulge_is_exact():
    points = bulge_points(np.array([0.0, 0.0]), np.array([20.0, 0.0]), bulge=1.0, chord_mm=0.01)
    assert points[:, 1].min() == pytest.approx(-10.0, abs=1e-12)
    assert np.hypot(points[:, 0] - 10, points[:, 1]) == pytest.approx(10.0, abs=1e-12)


@pytest.mark.parametrize("degree", [1, 2, 3, 5])
@pytest.mark.parametrize("clamped", [True, False])
def test_splines_stay_within_the_chord_error_of_a_reference_library(degree, clamped):
    rng = np.random.default_rng(degree)
    control = rng.uniform(-30, 30, (9, 2))
    inner = np.arange(10 - degree, dtype=float)
    knots = (
        np.concatenate([[0.0] * degree, inner, [inner[-1]] * degree]) if clamped else np.arange(10.0 + degree)
    )
    points = spline_points(control, weights=None, knots=knots, degree=degree, chord_mm=0.01)
    t = np.linspace(knots[degree], knots[9], 20_001)
    assert furthest(points, BSpline(knots, control, degree)(t)) <= 0.01 + 1e-9


def test_a_weighted_spline_makes_an_exact_circle():
    # nine control points, weights 1 and sqrt(1/2): Piegl & Tiller, "The NURBS Book", 7.5, from memory
    control = np.array([[1, 0], [1, 1], [0, 1], [-1, 1], [-1, 0], [-1, -1], [0, -1], [1, -1], [1, 0]]) * 25.0
    weights = np.array([1, 0.5**0.5] * 4 + [1])
    knots = np.array([0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4], dtype=float)
    points = spline_points(control, weights=weights, knots=knots, degree=2, chord_mm=0.01)
    assert np.hypot(*points.T) == pytest.approx(25.0, abs=1e-9)
    middle = (points[1:] + points[:-1]) / 2
    assert 25 - np.hypot(*middle.T).min() <= 0.01
    assert np.ptp(points, axis=0).tolist() == pytest.approx([50.0, 50.0])


@pytest.mark.parametrize("factor", [1e300, 1e-300])
def test_only_how_weights_differ_counts(factor):
    control, weights = np.array([[0, 0], [60, 0], [60, 50], [0, 40]]) * 1.0, np.array([1, 4, 0.5, 1])
    sizes = {"knots": np.array([0, 0, 0, 0, 1, 1, 1, 1]) * 1.0, "degree": 3, "chord_mm": 0.01}
    plain = spline_points(control, weights=weights, **sizes)
    assert spline_points(control, weights=weights * factor, **sizes) == pytest.approx(plain, abs=1e-9)
    with pytest.raises(OutlineError, match="differ too much"):
        spline_points(control, weights=np.array([1, 1e308, 1, 1]), **sizes)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"degree": 0}, "degree 0"),
        ({"degree": 40}, "degree 40"),
        ({"knots": np.arange(5.0)}, "rising knots"),
        ({"knots": np.arange(8.0)[::-1]}, "rising knots"),
        ({"knots": np.zeros(8)}, "the same"),
        ({"weights": np.array([1.0, 0.0, 1.0, 1.0])}, "weight"),
        ({"control": np.full((4, 2), np.nan)}, "finite"),
        ({"control": np.array([[0.0, 0], [1e9, 0], [1, 1], [0, 1]])}, "20000 mm"),
    ],
)
def test_splines_that_are_none_are_refused_with_the_cause(change, words):
    sound = {
        "control": np.eye(4)[:, :2],
        "weights": None,
        "knots": np.arange(8.0),
        "degree": 3,
        "chord_mm": 0.01,
    }
    with pytest.raises(OutlineError, match=words):
        spline_points(**{**sound, **change})


def test_a_slip_of_units_costs_no_memory():
    with pytest.raises(OutlineError, match="check the unit"):
        arc_points(
            np.zeros(2), np.array([1e12, 0]), np.array([0, 1e12]), start_rad=0, sweep_rad=6, chord_mm=0.01
        )
