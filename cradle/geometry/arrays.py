"""Arrays checked and frozen as they come in, so that inner code can trust them, and each value's neighbour in a cycle."""

from __future__ import annotations

from typing import TypeAlias, TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from cradle.errors import OutlineError

Floats: TypeAlias = NDArray[np.float64]
Ints: TypeAlias = NDArray[np.int64]
Bools: TypeAlias = NDArray[np.bool_]
Bytes: TypeAlias = NDArray[np.uint8]
Singles: TypeAlias = NDArray[np.float32]
_Scalar = TypeVar("_Scalar", bound=np.generic)


def following(values: NDArray[_Scalar]) -> NDArray[_Scalar]:
    """For each value the one after it along the first axis, for the last the first: `numpy.roll` takes five times as long."""
    return np.concatenate((values[1:], values[:1]))


def preceding(values: NDArray[_Scalar]) -> NDArray[_Scalar]:
    """For each value the one before it along the first axis, for the first the last."""
    return np.concatenate((values[-1:], values[:-1]))


def frozen(values: ArrayLike) -> Floats:
    """A read-only, C-contiguous float64 copy."""
    array = np.array(values, dtype=np.float64, order="C", copy=True)
    array.setflags(write=False)
    return array


def frozen_ints(values: ArrayLike) -> Ints:
    """A read-only, C-contiguous int64 copy."""
    array = np.array(values, dtype=np.int64, order="C", copy=True)
    array.setflags(write=False)
    return array


def as_points_2d(values: ArrayLike, *, where: str) -> Floats:
    """``(n, 2)`` float64 points, read-only, in mm.

    Raises
    ------
    OutlineError
        If the shape is wrong or a coordinate is not finite; the place is told.
    """
    try:
        points = np.array(values, dtype=np.float64, order="C", copy=True)
    except (TypeError, ValueError) as error:
        raise OutlineError("expected numbers in pairs, x and y", where=where) from error
    if points.ndim != 2 or points.shape[1] != 2:
        raise OutlineError(f"expected points of shape (n, 2), not {points.shape}", where=where)
    bad = np.flatnonzero(~np.isfinite(points).all(axis=1))
    if bad.size:
        at = int(bad[0])
        raise OutlineError(
            f"point {at} is ({points[at, 0]:g}, {points[at, 1]:g}), which is not finite", where=where
        )
    points.setflags(write=False)
    return points
