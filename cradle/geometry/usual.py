"""The spread of errors, estimated so that a few gross ones hardly count."""

from __future__ import annotations

from typing import Final

import numpy as np

from cradle.geometry.arrays import Floats

_NORMAL: Final = 1.4826
"""Standard deviation in median absolute deviations, of normal errors (Hampel, J. Am. Stat. Assoc. 69 (1974) 383-393)."""


def usual_miss(off: Floats) -> float:
    """The standard deviation of errors about 0, by their median: wrong ones hardly count.

    Examples
    --------
    >>> round(usual_miss(np.array([-1.0, 0.5, -0.6, 0.9, 80.0])), 3)
    1.334
    """
    return _NORMAL * float(np.median(np.abs(off)))
