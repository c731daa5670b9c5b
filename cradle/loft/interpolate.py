"""Rings between sections: a monotone cubic through every column, or a straight line.

The cubic is piecewise, with a continuous slope, and never leaves the range of
the two neighbouring sections, in x and in y (Fritsch & Carlson, "Monotone
piecewise cubic interpolation", SIAM J. Numer. Anal. 17(2), 1980, 238-246).
Slopes inside are Fritsch & Butland's weighted harmonic means (SIAM J. Sci.
Stat. Comput. 5, 1984, 300-304; from memory). Monotone in x and in y is meant:
a turn by other than right angles may change what lies between sections.
"""

from __future__ import annotations

import numpy as np

from cradle.geometry.arrays import Floats
from cradle.geometry.knots import interval_of


def straight_slopes(heights: Floats, values: Floats) -> Floats:
    """Slopes of the straight lines between neighbours, ``(k − 1, ...)``."""
    step = np.diff(heights).reshape(-1, *[1] * (values.ndim - 1))
    return np.diff(values, axis=0) / step


def monotone_slopes(heights: Floats, values: Floats) -> Floats:
    """Slopes of the monotone cubic at the given heights, ``(k, ...)``.

    Parameters
    ----------
    heights : (k,) float64
        Rising, k ≥ 2.
    values : (k, ...) float64
        Any number of columns, each on its own.
    """
    rise = straight_slopes(heights, values)
    if len(heights) == 2:
        return np.concatenate([rise, rise])
    step = np.diff(heights).reshape(-1, *[1] * (values.ndim - 1))
    below, above = rise[:-1], rise[1:]
    after, before = 2 * step[1:] + step[:-1], step[1:] + 2 * step[:-1]
    same = below * above > 0
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        mean = (after + before) / (after / below + before / above)
    inner = np.where(same, mean, 0.0)
    first = _end_slope(step[0], step[1], rise[0], rise[1])
    last = _end_slope(step[-1], step[-2], rise[-1], rise[-2])
    return np.concatenate([first[None], inner, last[None]])


def _end_slope(near_step: Floats, far_step: Floats, near: Floats, far: Floats) -> Floats:
    """One-sided three-point slope, held to the sign of the nearest rise and to three times its size."""
    slope = ((2 * near_step + far_step) * near - near_step * far) / (near_step + far_step)
    slope = np.where(np.sign(slope) != np.sign(near), 0.0, slope)
    return np.where((np.sign(near) != np.sign(far)) & (np.abs(slope) > 3 * np.abs(near)), 3 * near, slope)


def cubic_at(heights: Floats, values: Floats, slopes: Floats, at: Floats) -> Floats:
    """Values of the piecewise cubic (Hermite form) at heights within the given ones, ``(m, ...)``."""
    low = interval_of(heights, at)
    shape = (-1, *[1] * (values.ndim - 1))
    step = np.diff(heights)[low].reshape(shape)
    u = ((at - heights[low]) / np.diff(heights)[low]).reshape(shape)
    v = 1 - u
    out = values[low] * (v * v * (1 + 2 * u))
    out += slopes[low] * (step * u * v * v)
    out += values[low + 1] * (u * u * (1 + 2 * v))
    out -= slopes[low + 1] * (step * u * u * v)
    return np.asarray(out)


def straight_at(heights: Floats, values: Floats, at: Floats) -> Floats:
    """Values straight between neighbours at heights within the given ones, ``(m, ...)``."""
    low = interval_of(heights, at)
    u = ((at - heights[low]) / np.diff(heights)[low]).reshape(-1, *[1] * (values.ndim - 1))
    return np.asarray(values[low] * (1 - u) + values[low + 1] * u)
