"""Level lines of a field on a grid: the only place that knows contourpy."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from cradle.geometry.arrays import Floats


def closed_level_lines(
    field: NDArray[Any], *, level: float, x: Floats | None = None, y: Floats | None = None
) -> list[Floats]:
    """All closed lines along which a field has the given value, ``(n, 2)`` each, first point not repeated.

    Between grid points the field is taken as straight along the grid's edges
    (marching squares). Specks of fewer than eight points are left out.

    Parameters
    ----------
    field : (rows, columns) float
    x : (columns,) float64, optional
        Where the columns stand; by their number when left out.
    y : (rows,) float64, optional
        Where the rows stand.

    Examples
    --------
    >>> across = np.linspace(-2.0, 2.0, 81)
    >>> (ring,) = closed_level_lines(np.hypot(across, across[:, None]), level=1.0, x=across, y=across)
    >>> bool(np.abs(np.hypot(*ring.T) - 1).max() < 1e-3)
    True
    """
    from contourpy import contour_generator

    lines = [np.asarray(line) for line in contour_generator(x, y, field, name="serial").lines(level)]
    return [line[:-1] for line in lines if len(line) > 8 and np.array_equal(line[0], line[-1])]
