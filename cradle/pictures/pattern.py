"""Up to which size the things in a picture are a pattern of what the pieces lie on: a cloth's checks or flowers, chips in stone."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cradle.pictures.regions import Box

_ALIKE: Final = 0.25
"""Parts of a pattern differ in length from the usual one by no more than this part of it."""
_SEVERAL: Final = 8
"""Fewest parts of a pattern: seldom do as many pieces of one size lie in a picture (common practice)."""
_MOSTLY: Final = 0.6
"""Least part of the things that are no longer than twice the usual one that are alike."""
_LARGER: Final = 2.0
"""How many times as long as a part of the pattern a piece on it is, at least."""


def pattern_px(boxes: Sequence[Box]) -> float:
    """The length up to which things, of which the boxes are given, are parts of a pattern, in the boxes' px.

    0 where they are none: too few alike, or none beside them that is much larger.

    Examples
    --------
    >>> pattern_px([(0, 0, 10, 9)] * 8 + [(30, 30, 25, 40)])
    12.5
    >>> pattern_px([(0, 0, 10, 9)] * 8)
    0.0
    """
    long = np.array([max(box[2:]) for box in boxes], dtype=np.float64)
    if len(long) <= _SEVERAL:
        return 0.0
    usual = float(np.median(long))
    alike = int((np.abs(long - usual) <= _ALIKE * usual).sum())
    small = int((long <= _LARGER * usual).sum())
    found = alike >= _SEVERAL and alike > _MOSTLY * small and small < len(long)
    return (1 + _ALIKE) * usual if found else 0.0
