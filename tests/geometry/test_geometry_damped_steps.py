"""Least squares within bounds come to where the squares are least."""

from __future__ import annotations

import numpy as np
import pytest

from cradle.geometry.damped_steps import damped_steps

WIDE = np.full(2, 100.0)


def _valley(p: np.ndarray) -> np.ndarray:
    """Rosenbrock's curved valley, "An automatic method for finding the greatest or least value of a function", Computer J. 3 (1960) 175: least at (1, 1)."""
    return np.array([10 * (p[1] - p[0] ** 2), 1 - p[0]])


def _valley_slopes(p: np.ndarray) -> np.ndarray:
    return np.array([[-20 * p[0], 10.0], [-1.0, 0.0]])


def _from(start, *, low=-WIDE, high=WIDE) -> tuple[np.ndarray, np.ndarray]:
    return damped_steps(
        _valley,
        _valley_slopes,
        np.array(start),
        low=low,
        high=high,
        sizes=np.ones(2),
        rounds=200,
        share=1e-12,
    )


@pytest.mark.parametrize("start", [(-1.2, 1.0), (5.0, -3.0), (0.0, 0.0)])
def test_a_curved_valley_is_followed_to_its_end(start):
    at, left = _from(start)
    assert at == pytest.approx([1.0, 1.0], abs=1e-5)
    assert left == pytest.approx(_valley(at))


def test_what_would_leave_its_bounds_stays_on_them_and_the_rest_goes_on():
    at, _ = _from((-1.2, 1.0), high=np.array([0.5, 100.0]))
    assert at == pytest.approx([0.5, 0.25], abs=1e-6)


def test_a_parameter_that_changes_nothing_keeps_its_value():
    at, _ = damped_steps(
        lambda p: np.array([p[0] - 3.0]), lambda p: np.array([[1.0, 0.0]]), np.array([0.0, 7.0]),
        low=-WIDE, high=WIDE, sizes=np.ones(2), rounds=20, share=1e-9,
    )  # fmt: skip
    assert at == pytest.approx([3.0, 7.0], abs=1e-4)


def test_a_start_that_no_step_betters_is_given_back():
    at, left = _from((1.0, 1.0))
    assert at.tolist() == [1.0, 1.0]
    assert left.tolist() == [0.0, 0.0]
