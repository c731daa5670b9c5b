"""Least squares of few parameters within bounds, by damped steps."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable

    from cradle.geometry.arrays import Bools, Floats

_FIRST: Final = 1e-3
_LEAST: Final = 1e-7
_MOST: Final = 1e3
"""Damping to begin with, at least and at most: by the last a step is a thousandth of the plain one, and a guess that it does not better is final."""
_TIMES: Final = 8.0
"""What damping is divided by after a step that lowers the squares, and multiplied by where one does not."""


def damped_steps(
    residual: Callable[[Floats], Floats],
    slopes: Callable[[Floats], Floats],
    start: Floats,
    *,
    low: Floats,
    high: Floats,
    sizes: Floats,
    rounds: int,
    share: float,
) -> tuple[Floats, Floats]:
    """The parameters of least squared residuals near ``start`` and within bounds, ``(p,)``, and those residuals, ``(n,)``.

    Marquardt, "An algorithm for least-squares estimation of nonlinear parameters", J. SIAM 11 (1963) 431 (from memory);
    a parameter that would leave its bounds stays on them.

    Parameters
    ----------
    residual, slopes : callable
        What is left of each reading, ``(n,)``, and its derivatives, ``(n, p)``, at parameters ``(p,)``.
    low, high : (p,)
    sizes : (p,)
        About by how much each parameter may move at once.
    rounds : int
        Steps at most.
    share : float
        It ends where a step lowers the sum of squares by this part of it or less.

    Examples
    --------
    >>> height, seen = np.array([0.0, 1.0, 2.0]), np.array([1.0, 3.0, 5.0])
    >>> line = np.stack([np.ones(3), height], axis=1)
    >>> at, left = damped_steps(
    ...     lambda p: seen - line @ p, lambda p: -line, np.zeros(2),
    ...     low=np.zeros(2), high=np.array([9.0, 1.5]), sizes=np.ones(2), rounds=20, share=1e-9,
    ... )
    >>> at.round(3).tolist(), left.round(3).tolist()
    ([1.5, 1.5], [-0.5, 0.0, 0.5])
    """
    at, left, damping = start, residual(start), _FIRST
    for _ in range(rounds):
        slope = slopes(at) * sizes
        square, fall = slope.T @ slope, slope.T @ left
        free = ((at > low) | (fall < 0)) & ((at < high) | (fall > 0))
        while damping <= _MOST:
            trial = np.clip(at + sizes * _step(square, fall, free, damping), low, high)
            ahead = residual(trial)
            if ahead @ ahead < left @ left:
                break
            damping *= _TIMES
        else:
            break
        gained = float(left @ left - ahead @ ahead)
        at, left, damping = trial, ahead, max(damping / _TIMES, _LEAST)
        if gained <= share * float(left @ left):
            break
    return at, left


def _step(square: Floats, fall: Floats, free: Bools, damping: float) -> Floats:
    """The damped step of the free parameters, ``(p,)``; 0 of the others."""
    damped = square + damping * np.diag(np.diag(square) + 1e-12)
    step = np.zeros(len(fall))
    step[free] = -np.linalg.solve(damped[np.ix_(free, free)], fall[free])
    return step
