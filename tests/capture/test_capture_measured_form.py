"""Sections known by caliper readings alone."""

import math

import numpy as np
import pytest
import shapely

from cradle.capture.clean import clean_outline
from cradle.capture.measured_form import exponent_from_diagonal, measured_points
from cradle.errors import OutlineError
from cradle.geometry.ring import signed_area, size
from cradle.project.section import Form, MeasuredSource


def measured(form, width=40.0, depth=30.0, **more):
    return measured_points(MeasuredSource(form=Form(form), width_mm=width, depth_mm=depth, **more))


@pytest.mark.parametrize(
    ("form", "more"),
    [
        ("rectangle", {}),
        ("rectangle", {"corner_mm": 4.0}),
        ("rectangle", {"corner_mm": 15.0}),
        ("ellipse", {}),
        *[("superellipse", {"diagonal_mm": d}) for d in (25.4, 26.0, 30.0, 35.0, 40.0, 45.0, 49.0, 49.6)],
    ],
)
@pytest.mark.parametrize("turned", [False, True])
def test_extents_are_exact_and_the_ring_needs_no_repair(form, more, turned):
    width, depth = (30.1, 40.7) if turned else (40.7, 30.1)
    ring = measured(form, width, depth, **more)
    assert size(ring) == (width, depth)
    assert tuple(ring.max(axis=0) * 2) == (width, depth)
    outline = clean_outline(ring, source="measured")
    assert outline.findings == ()
    assert len(outline.points_mm) == len(ring)


def test_rectangle_area():
    # area of a rounded box: w d - (4 - pi) r^2, any table of plane areas
    ring = measured("rectangle", corner_mm=5.0)
    assert signed_area(ring) == pytest.approx(40 * 30 - (4 - math.pi) * 25, abs=0.3)
    assert signed_area(measured("rectangle")) == 1200.0
    corner = ring[(ring > [15 - 1e-9, 10 - 1e-9]).all(axis=1)] - [15, 10]
    assert np.hypot(*corner.T) == pytest.approx(5.0, abs=1e-12)
    assert len(corner) > 5


def test_ellipse_area():
    # derived, elementary geometry: inscribed n-gon over ellipse = (n / 2 pi) sin(2 pi / n)
    ring = measured("ellipse", 60, 40)
    n = len(ring)
    assert signed_area(ring) / (math.pi * 30 * 20) == pytest.approx(
        n / (2 * math.pi) * math.sin(2 * math.pi / n), rel=1e-12
    )
    assert n > 64


@pytest.mark.parametrize("exponent", [1.2, 1.7, 2.0, 2.5, 4.0, 10.0, 60.0])
def test_superellipse_passes_through_its_curve(exponent):
    a, b = 20.0, 15.0
    diagonal = 2 * math.hypot(a, b) * 2 ** (-1 / exponent)
    assert exponent_from_diagonal(width_mm=40, depth_mm=30, diagonal_mm=diagonal) == pytest.approx(
        exponent, rel=1e-9
    )
    ring = measured("superellipse", diagonal_mm=diagonal)
    assert (np.abs(ring / [a, b]) ** exponent).sum(axis=1) == pytest.approx(1.0, abs=1e-9)
    angle = np.linspace(0, np.pi / 2, 40_001)
    true = np.column_stack([a * np.cos(angle) ** (2 / exponent), b * np.sin(angle) ** (2 / exponent)])
    off = shapely.distance(shapely.points(true), shapely.linearrings(ring)).max()
    assert 0.003 < off <= 0.01 + 1e-9
    # area of Lame's curve: 4 a b Gamma(1 + 1/n)^2 / Gamma(1 + 2/n), from memory
    area = 4 * a * b * math.gamma(1 + 1 / exponent) ** 2 / math.gamma(1 + 2 / exponent)
    assert signed_area(ring) == pytest.approx(area, rel=1e-3)
    assert signed_area(ring) <= area


def test_the_diagonal_is_the_distance_between_the_points_on_it():
    ring = measured("superellipse", diagonal_mm=44.0)
    on_diagonal = ring[np.abs(ring[:, 1] - 0.75 * ring[:, 0]) < 1e-9]
    assert len(on_diagonal) == 2
    assert np.hypot(*(on_diagonal[0] - on_diagonal[1])) == pytest.approx(44.0, abs=1e-9)


def test_superellipse_of_exponent_2_is_the_ellipse():
    ring = measured("superellipse", diagonal_mm=50 / math.sqrt(2))
    assert np.hypot(*(ring / [20, 15]).T) == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize(
    ("form", "more", "words"),
    [
        ("superellipse", {"diagonal_mm": 24.9}, r"25\.00 to 49\.65 mm \("),
        ("superellipse", {"diagonal_mm": 50.1}, r"25\.00 to 49\.65 mm \("),
        ("superellipse", {"diagonal_mm": math.nan}, "impossible"),
        ("rectangle", {"width": 0.9}, "the width is 0.9 mm, 1 to 2000 mm allowed"),
        ("ellipse", {"depth": 0.5}, "the depth is 0.5 mm"),
    ],
)
def test_readings_that_contradict_each_other(form, more, words):
    with pytest.raises(OutlineError, match=words):
        measured(form, **more)
