"""Least squares of few parameters, within bounds where there are any, and how sure what follows from them is."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, TypeAlias

import numpy as np

from cradle.geometry.arrays import Floats

Vector: TypeAlias = Callable[[Floats], Floats]
"""What follows from the parameters, ``(p,)``, such as what is left of each reading, ``(n,)``."""

_HALVINGS: Final = 10
"""A start that not even a thousandth of the plain step betters is final."""
_STEP: Final = 1e-6


def least_squares(
    residual: Vector,
    start: Floats,
    *,
    rounds: int,
    share: float,
    bounds: tuple[Floats, Floats] | None = None,
    steps: Floats | float = _STEP,
) -> tuple[Floats, Floats]:
    """The parameters of least squared residuals near ``start``, ``(p,)``, and those residuals, ``(n,)``.

    By Gauss and Newton; a step that does not lower the squares is halved, as in
    Björck, "Numerical Methods for Least Squares Problems", section 9.2.1 (from
    memory). A parameter that would leave its bounds stays on them, and what
    changes nothing keeps its value.

    Parameters
    ----------
    residual : callable
        What is left of each reading.
    start : (p,) float64
        Within the bounds.
    rounds : int
        Steps at most.
    share : float
        It ends where a step lowers the sum of squares by this part of it or less.
    bounds : two of (p,), optional
        The least and the greatest value of each parameter.
    steps : float or (p,)
        Steps of the parameters over which slopes are taken.

    Examples
    --------
    >>> height, seen = np.array([0.0, 1.0, 2.0]), np.array([1.0, 4.0, 5.0])
    >>> at, left = least_squares(
    ...     lambda p: seen - p[0] - p[1] * height, np.zeros(2),
    ...     rounds=20, share=1e-9, bounds=(np.zeros(2), np.array([9.0, 1.5])),
    ... )
    >>> at.round(3).tolist(), left.round(3).tolist()
    ([1.833, 1.5], [-0.833, 0.667, 0.167])
    """
    low, high = bounds or (np.full(len(start), -np.inf), np.full(len(start), np.inf))
    at, left = start, residual(start)
    for _ in range(rounds):
        slope = _slopes(residual, at, here=left, steps=steps)
        fall = slope.T @ left
        free = ((at > low) | (fall < 0)) & ((at < high) | (fall > 0))
        step = np.zeros(len(at))
        step[free] = np.linalg.lstsq(slope[:, free], -left, rcond=None)[0]
        for halving in range(_HALVINGS):
            trial = np.clip(at + step / 2**halving, low, high)
            ahead = residual(trial)
            if ahead @ ahead < left @ left:
                break
        else:
            break
        gained = float(left @ left - ahead @ ahead)
        at, left = trial, ahead
        if gained <= share * float(left @ left):
            break
    return at, left


def slopes(of: Vector, parameters: Floats, *, steps: Floats | float = _STEP) -> Floats:
    """Derivatives of a vector by each parameter, ``(n, p)``, over small steps."""
    return _slopes(of, parameters, here=of(parameters), steps=steps)


def spread_of(of: Vector, parameters: Floats, *, covariance: Floats) -> Floats:
    """Standard uncertainties of what follows from parameters, ``(n,)``: JCGM 100:2008 (GUM), equation 13."""
    slope = slopes(of, parameters)
    return np.sqrt(np.diag(slope @ covariance @ slope.T).clip(0.0))


def _slopes(of: Vector, parameters: Floats, *, here: Floats, steps: Floats | float) -> Floats:
    """`slopes` where the vector is ``here``."""
    each = np.broadcast_to(steps, len(parameters))
    ahead = [of(parameters + step) - here for step in np.diag(each)]
    return np.stack(ahead, axis=1) / each
