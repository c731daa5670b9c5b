"""Least squares within bounds come to where the squares are least."""

from __future__ import annotations

import numpy as np
import pytest

from cradle.geometry.least_squares import least_squares

WIDE = np.full(2, 100.0)


def _valley(p: np.ndarray) -> np.ndarray:
    """Rosenbrock's curved valley, "An automatic method for finding the greatest or least value of a function", Computer J. 3 (1960) 175: least at (1, 1)."""
    return np.array([10 * (p[1] - p[0] ** 2), 1 - p[0]])


def _from(start, *, low=-WIDE, high=WIDE) -> tuple[np.ndarray, np.ndarray]:
    return least_squares(_valley, np.array(start), rounds=200, share=1e-12, bounds=(low, high))


@pytest.mark.parametrize("start", [(-1.2, 1.0), (5.0, -3.0), (0.0, 0.0)])
def test_a_curved_valley_is_followed_to_its_end(start):
    at, left = _from(start)
    assert at == pytest.approx([1.0, 1.0], abs=1e-5)
    assert left == pytest.approx(_valley(at))


def test_what_would_leave_its_bounds_stays_on_them_and_the_rest_goes_on():
    at, _ = _from((-1.2, 1.0), high=np.array([0.5, 100.0]))
    assert at == pytest.approx([0.5, 0.25], abs=1e-6)


def test_a_parameter_that_changes_nothing_keeps_its_value():
    at, _ = least_squares(lambda p: np.array([p[0] - 3.0]), np.array([0.0, 7.0]), rounds=20, share=1e-9)
    assert at == pytest.approx([3.0, 7.0], abs=1e-4)


def test_a_start_that_no_step_betters_is_given_back():
    at, left = _from((1.0, 1.0))
    assert at.tolist() == [1.0, 1.0]
    assert left.tolist() == [0.0, 0.0]


def test_where_every_parameter_would_leave_its_bounds_they_stay():
    at, _ = _from((3.0, 4.0), low=np.array([3.0, -WIDE[0]]), high=np.array([9.0, 4.0]))
    assert at.tolist() == [3.0, 4.0]


@pytest.mark.parametrize("far", [1.0, 1e3])
def test_parameters_of_unlike_sizes_are_found(far):
    """A decay whose amplitude and rate differ by the sixth power of ten."""
    time = np.linspace(0, 3, 30)
    seen = 1e3 * far * np.exp(-time / far)
    at, left = least_squares(
        lambda p: seen - 1e3 * p[0] * np.exp(-time * p[1]),
        np.array([1.1 * far, 1.3 / far]),
        rounds=30,
        share=1e-9,
    )
    assert at == pytest.approx([far, 1 / far], rel=1e-6)
    assert np.abs(left).max() < 1e-3
