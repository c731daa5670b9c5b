"""Lists of points, whatever file they stood in: how many there may be, level, as a curve."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from cradle.drawings.bounds import MOST_POINTS
from cradle.drawings.curves import Curve, Ends
from cradle.drawings.flatten import check_span
from cradle.errors import CaptureError, located
from cradle.geometry.arrays import Floats
from cradle.tolerances import TOLERANCES

_LEVEL = 1e-3
"""Largest difference between the third numbers of a level outline: what is measured or calculated is not exact."""


def check_count(count: int, *, where: str) -> None:
    """Raise where there are more points than are read.

    Raises
    ------
    CaptureError
        If there are.
    """
    if count > MOST_POINTS:
        raise CaptureError(
            f"the file has {count} points, up to {MOST_POINTS} are read", where=where, hint="thin them out"
        )


def in_level(points: Floats, *, place: Callable[[int], str], where: str, hint: str) -> Floats:
    """Points, ``(n, 2)``, of rows that may have a third number, which must be the same in all.

    Parameters
    ----------
    place : callable
        From a row to its place in the file, in words.
    hint : str
        What to do where the third numbers differ.

    Raises
    ------
    CaptureError
        If they do.
    """
    third = points[:, 2:]
    off = np.flatnonzero(np.abs(third - third[:1]) > _LEVEL)
    if off.size:
        at = int(off[0])
        raise CaptureError(
            f"{place(at)}: the third number is {third[at, 0]:g}, in {place(0)} it is {third[0, 0]:g}; "
            "an outline lies level, with the same for all",
            where=where,
            hint=hint,
        )
    return points[:, :2]


def curve_of_points(points: Floats, *, ends: Ends, where: str) -> Curve:
    """A list of points as a curve, closed when its last point is its first again.

    Raises
    ------
    OutlineError
        If they lie absurdly far from the origin or apart.
    """
    with located(where):
        check_span(points)
    apart_mm = np.hypot(*(points[-1] - points[0]))
    if ends is not Ends.CLOSED and len(points) > 3 and apart_mm <= TOLERANCES.duplicate_mm:
        points, ends = points[:-1], Ends.CLOSED
    return Curve(points_mm=points, ends=ends, name="the list of points")
