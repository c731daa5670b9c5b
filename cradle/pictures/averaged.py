"""Smaller copies of a picture, in which each pixel is the mean of several, and where places of it lie in them.

In picture and copy alike the centres of pixels lie at whole numbers.
"""

from __future__ import annotations

import numpy as np

from cradle.geometry.arrays import Bytes, Floats


def averaged(levels: Bytes, *, times: int) -> Bytes:
    """Each ``times`` by ``times`` pixels of ``(h, w)`` or ``(h, w, c)`` levels as their mean; a last row or column that is not full is left out."""
    import cv2

    if times == 1:
        return levels
    h, w = (count // times for count in levels.shape[:2])
    whole = levels[: h * times, : w * times]
    small = np.asarray(cv2.resize(whole, (w, h), interpolation=cv2.INTER_AREA), dtype=np.uint8)
    return small.reshape(h, w, *levels.shape[2:])


def reduced(levels: Bytes, size: tuple[int, int]) -> Bytes:
    """Levels in a copy of fewer pixels, ``size`` wide and high, which is halved first as often as it may be: that is ten times as quick."""
    import cv2

    while levels.shape[1] >= 2 * size[0] and levels.shape[0] >= 2 * size[1]:
        levels = averaged(levels, times=2)
    small = np.asarray(cv2.resize(levels, size, interpolation=cv2.INTER_AREA), dtype=np.uint8)
    return small.reshape(size[1], size[0], *levels.shape[2:])


def in_copy(points_px: Floats, *, times: float) -> Floats:
    """Points of a picture in the px of a copy so many times smaller."""
    return (points_px + 0.5) / times - 0.5


def from_copy(points_px: Floats, *, times: float) -> Floats:
    """Points of a copy so many times smaller in the px of the picture."""
    return (points_px + 0.5) * times - 0.5
