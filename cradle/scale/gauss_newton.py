"""Least squares of few parameters, by Gauss and Newton with halved steps."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, TypeAlias

import numpy as np

from cradle.geometry.arrays import Floats

Residual: TypeAlias = Callable[[Floats], Floats]
"""What is left of each reading, ``(n,)``, as a function of the parameters, ``(p,)``."""

_HALVINGS: Final = 6


def gauss_newton(
    residual: Residual,
    start: Floats,
    *,
    slopes: Callable[[Floats], Floats],
    rounds: int,
    share: float,
    floor: float = 0.0,
) -> tuple[Floats, Floats, Floats]:
    """The parameters of least squared residuals near ``start``, those residuals, and the last slopes.

    The start comes from a simpler solution, so plain steps converge; a step
    that does not lower the squares is halved, as in Björck, "Numerical
    Methods for Least Squares Problems", section 9.2.1 (from memory).

    Parameters
    ----------
    start : (p,) float64
    slopes : callable
        Derivatives of the residuals by each parameter, ``(n, p)``, at parameters.
    rounds : int
        Steps at most.
    share, floor : float
        It ends where a step lowers the sum of squares S by ``share`` of ``floor + S`` or less.
    """
    parameters, left = start, residual(start)
    slope = np.zeros((len(left), len(start)))
    for _ in range(rounds):
        slope = slopes(parameters)
        step = np.linalg.lstsq(slope, -left, rcond=None)[0]
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
    return parameters, left, slope
