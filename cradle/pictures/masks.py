"""Masks of a picture, 0 or 1, grown and shrunk."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray


def shrunk_by(mask: NDArray[np.uint8], by: int) -> NDArray[np.uint8]:
    """A mask without what lies nearer to its border than so many pixels, a square's way."""
    if 2 * by >= min(mask.shape):  # nothing lies so deep inside
        return np.zeros_like(mask)
    import cv2

    return np.asarray(
        cv2.erode(mask, np.ones((2 * by + 1, 2 * by + 1), np.uint8), borderValue=0), dtype=np.uint8
    )


def grown_by(mask: NDArray[np.uint8], by: int) -> NDArray[np.uint8]:
    """A mask with all that lies within so many pixels of it, a square's way."""
    import cv2

    return np.asarray(cv2.dilate(mask, np.ones((2 * by + 1, 2 * by + 1), np.uint8)), dtype=np.uint8)
