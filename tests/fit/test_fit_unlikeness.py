"""Unlikeness and change of stacks whose difference is known."""

import numpy as np
import pytest
from fit_models import cone, unlike

from cradle.fit.unlikeness import changes_mm, unlikeness_mm
from cradle.geometry.arrays import frozen
from cradle.geometry.planar import distances_to_boundary
from cradle.matching.ring_stack import RingStack


def test_a_change_of_size_alone_is_no_unlikeness():
    assert unlikeness_mm(cone()) == pytest.approx(0, abs=1e-9)
    assert unlikeness_mm(unlike())[0] > 2.5


def test_where_an_outline_lies_is_no_unlikeness():
    drawn = unlike()
    moved = drawn.rings_mm + np.array([[0.0, 0.0], [7.0, -4.0], [-30.0, 2.0]])[:, None]
    elsewhere = RingStack(heights_mm=drawn.heights_mm, rings_mm=frozen(moved), names=drawn.names)
    assert unlikeness_mm(elsewhere) == pytest.approx(unlikeness_mm(drawn), abs=1e-6)


def test_two_tracings_of_one_outline_are_alike():
    rng = np.random.default_rng(5)
    trace = 0.25
    found = []
    for _ in range(40):  # noise over about 11 mm of the outline, as a hand makes it
        rings = []
        for _ in range(2):
            waves = rng.standard_normal((12, 2)) / np.sqrt(12)
            t = np.arange(240) * 2 * np.pi / 240
            noise = sum(a * np.cos(k * t) + b * np.sin(k * t) for k, (a, b) in enumerate(waves, start=2))
            rings.append((20 + trace * noise)[:, None] * np.column_stack([np.cos(t), np.sin(t)]))
        traced = RingStack(heights_mm=frozen([0.0, 9.0]), rings_mm=frozen(rings), names=("a", "b"))
        found.append((unlikeness_mm(traced)[0], unlikeness_mm(traced, trace_mm=trace)[0]))
    plain, taken_off = np.mean(found, axis=0)
    assert plain > 1.2 * trace
    assert taken_off < 0.5 * plain


def test_the_change_of_a_cone_is_square_to_its_skin():
    # radii that rise by 0.3 a mm: 3 and 6 mm seen from above, times cos(atan 0.3)
    assert changes_mm(cone()) == pytest.approx(np.array([3.0, 6.0]) / np.hypot(1.0, 0.3), rel=1e-3)


def test_what_was_found_of_a_stack_is_not_looked_for_again(monkeypatch: pytest.MonkeyPatch) -> None:
    """Fit and report ask for it several times, of outlines of thousands of points."""
    asked = []

    def counted(points, area):
        asked.append(len(points))
        return distances_to_boundary(points, area)

    monkeypatch.setattr("cradle.fit.unlikeness.distances_to_boundary", counted)
    ring = (
        20
        * np.column_stack([np.cos(np.arange(50)), np.sin(np.arange(50))])[np.argsort(np.arange(50) % 6.283)]
    )
    one, other = (
        RingStack(heights_mm=np.array([0.0, 9.0]), rings_mm=np.array([ring, k * ring]), names=("a", "b"))
        for k in (1.5, 2.0)
    )
    first = changes_mm(one)
    assert changes_mm(one) is first
    assert len(asked) == 1
    assert changes_mm(other) > first
    assert len(asked) == 2
    unlikeness_mm(one, trace_mm=0.1)
    unlikeness_mm(one, trace_mm=0.1)
    assert len(asked) == 3
