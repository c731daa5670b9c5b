"""Least squares of few parameters, by Gauss and Newton with halved steps, and how sure what follows from them is."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, TypeAlias

import numpy as np

from cradle.geometry.arrays import Floats

Residual: TypeAlias = Callable[[Floats], Floats]
"""What is left of each reading, ``(n,)``, as a function of the parameters, ``(p,)``."""

_HALVINGS: Final = 6
_STEP: Final = 1e-6


def gauss_newton(
    residual: Residual, start: Floats, *, rounds: int, share: float, floor: float = 0.0
) -> tuple[Floats, Floats]:
    """The parameters of least squared residuals near ``start``, and those residuals.

    The start comes from a simpler solution, so plain steps converge; a step
    that does not lower the squares is halved, as in Björck, "Numerical
    Methods for Least Squares Problems", section 9.2.1 (from memory).

    Parameters
    ----------
    start : (p,) float64
    rounds : int
        Steps at most.
    share, floor : float
        It ends where a step lowers the sum of squares S by ``share`` of ``floor + S`` or less.
    """
    parameters, left = start, residual(start)
    for _ in range(rounds):
        step = np.linalg.lstsq(slopes(residual, parameters), -left, rcond=None)[0]
        for halving in range(_HALVINGS):
            trial = parameters + step / 2**halving
            ahead = residual(trial)
            if ahead @ ahead <= left @ left:
                break
        else:
            break
        gained = float(left @ left - ahead @ ahead)
        parameters, left = trial, ahead
        if gained <= share * (floor + float(left @ left)):
            break
    return parameters, left


def slopes(of: Residual, parameters: Floats) -> Floats:
    """Derivatives of a vector by each parameter, ``(n, p)``, by small steps."""
    here = of(parameters)
    return np.stack([(of(parameters + s) - here) / _STEP for s in np.eye(len(parameters)) * _STEP], axis=1)


def spread_of(of: Residual, parameters: Floats, *, covariance: Floats) -> Floats:
    """Standard uncertainties of what follows from parameters, ``(n,)``: JCGM 100:2008 (GUM), equation 13."""
    slope = slopes(of, parameters)
    return np.sqrt(np.diag(slope @ covariance @ slope.T).clip(0.0))
