"""Where between samples a peak lies."""

from __future__ import annotations

import numpy as np

from cradle.geometry.arrays import Floats


def peak_shift(left: Floats, middle: Floats, right: Floats) -> Floats:
    """Where the parabola through three equally spaced samples is greatest, from the middle one, in spacings; of the shape of ``middle``.

    At most half a spacing; 0 where the parabola has no greatest value.

    Examples
    --------
    >>> import numpy as np
    >>> peak_shift(np.array([3.0]), np.array([4.0]), np.array([3.5])).round(3).tolist()
    [0.167]
    """
    bend = left - 2 * middle + right
    shift = np.divide(left - right, 2 * bend, out=np.zeros(middle.shape), where=bend < 0)
    return np.asarray(np.clip(shift, -0.5, 0.5))
