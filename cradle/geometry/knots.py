"""Rising knots: where a value lies among them, and knots between them."""

from __future__ import annotations

import numpy as np

from cradle.geometry.arrays import Floats, Ints


def interval_of(knots: Floats, at: Floats) -> Ints:
    """The interval between neighbouring knots that each value lies in, ``(n,)``.

    At a knot the one that begins there; below the first knot the first, from
    the last on the last.

    Parameters
    ----------
    knots : (k,) float64
        Rising, at least two.
    at : (n,) float64

    Examples
    --------
    >>> interval_of(np.array([0.0, 10.0, 30.0]), np.array([-5.0, 0.0, 10.0, 29.0, 30.0, 99.0])).tolist()
    [0, 0, 1, 1, 1, 1]
    """
    return np.clip(np.searchsorted(knots, at, side="right") - 1, 0, len(knots) - 2)


def part_of_interval(knots: Floats, at: Floats) -> Floats:
    """How far along its interval each value lies, ``(n,)``: 0 at its lower knot and below all, 1 above all.

    Examples
    --------
    >>> part_of_interval(np.array([0.0, 10.0, 30.0]), np.array([-5.0, 4.0, 20.0, 99.0])).tolist()
    [0.0, 0.4, 0.5, 1.0]
    """
    gap = interval_of(knots, at)
    return part_between(at, low=knots[gap], high=knots[gap + 1])


def part_between(at: Floats, *, low: Floats, high: Floats) -> Floats:
    """How far from one value to a greater one each lies, ``(n,)``: 0 at the lower and below it, 1 at the greater and above it."""
    return np.clip((at - low) / (high - low), 0.0, 1.0)


def divided(knots: Floats, parts: Ints) -> Floats:
    """Rising knots, ``(k,)``, and those that divide each interval between two of them into equal parts, rising.

    Examples
    --------
    >>> divided(np.array([0.0, 10.0, 30.0]), np.array([1, 4])).tolist()
    [0.0, 10.0, 15.0, 20.0, 25.0, 30.0]
    """
    ends = zip(knots[:-1], knots[1:], parts.tolist(), strict=True)
    return np.concatenate([knots[:1], *(np.linspace(low, high, n + 1)[1:] for low, high, n in ends)])
