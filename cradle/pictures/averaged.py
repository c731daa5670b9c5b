"""Smaller copies of a picture, in which each pixel is the mean of several, and where places of it lie in them.

In picture and copy alike the centres of pixels lie at whole numbers.
"""

from __future__ import annotations

import numpy as np

from cradle.geometry.arrays import Bytes, Floats


def averaged(levels: Bytes, *, times: int) -> Bytes:
    """Levels ``(h, w)`` or ``(h, w, c)`` in which each block of ``times`` by ``times`` pixels has become one, their mean; blocks that are not full are left out."""
    import cv2

    if times == 1:
        return levels
    h, w = (count // times for count in levels.shape[:2])
    whole = levels[: h * times, : w * times]
    small = np.asarray(cv2.resize(whole, (w, h), interpolation=cv2.INTER_AREA), dtype=np.uint8)
    return small.reshape(h, w, *levels.shape[2:])


def reduced(levels: Bytes, size: tuple[int, int]) -> Bytes:
    """A smaller copy of levels, ``size`` is its width and height, px; it is halved first as often as possible, which is ten times as quick."""
    import cv2

    while levels.shape[1] >= 2 * size[0] and levels.shape[0] >= 2 * size[1]:
        levels = averaged(levels, times=2)
    small = np.asarray(cv2.resize(levels, size, interpolation=cv2.INTER_AREA), dtype=np.uint8)
    return small.reshape(size[1], size[0], *levels.shape[2:])


def in_copy(points_px: Floats, *, times: float) -> Floats:
    """Points of a picture, px, converted to px of a copy that is smaller by the factor ``times``."""
    return (points_px + 0.5) / times - 0.5


def from_copy(points_px: Floats, *, times: float) -> Floats:
    """Points of a copy that is smaller by the factor ``times``, converted to px of the picture."""
    return (points_px + 0.5) * times - 0.5
