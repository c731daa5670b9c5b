"""Pictures looked up at places: at the nearest pixel, and between pixels."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from cradle.geometry.arrays import Floats

_ROWS: Final = 32_000
"""Rows of places looked up at once: OpenCV refuses more than 32,766."""


def nearest(image: NDArray[Any], at_px: Floats, *, beyond: int | None = None) -> NDArray[Any]:
    """The image at the pixel nearest to each of ``(..., 2)`` places, ``(...)`` or ``(..., c)``; outside, the nearest pixel of its border, or ``beyond``.

    Examples
    --------
    >>> row = np.array([[3, 5, 8]])
    >>> nearest(row, np.array([[1.4, 0.0], [7.0, 0.0]])).tolist()
    [5, 8]
    >>> nearest(row, np.array([[1.4, 0.0], [7.0, 0.0]]), beyond=0).tolist()
    [5, 0]
    """
    h, w = image.shape[:2]
    x, y = np.moveaxis(np.rint(at_px).astype(np.int64), -1, 0)
    found = image[y.clip(0, h - 1), x.clip(0, w - 1)]
    if beyond is not None:
        found[(x < 0) | (y < 0) | (x >= w) | (y >= h)] = beyond
    return np.asarray(found)


def sampled(image: NDArray[Any], at_px: NDArray[Any]) -> NDArray[Any]:
    """The image at each of ``(n, k, 2)`` places, ``(n, k)`` or ``(n, k, c)``, interpolated bilinearly; outside, the nearest place of its border."""
    import cv2

    at = np.asarray(at_px, dtype=np.float32)
    parts = [at[first : first + _ROWS] for first in range(0, len(at), _ROWS)]
    found = [
        cv2.remap(image, part[..., 0], part[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
        for part in parts
    ]
    return np.concatenate(found)
