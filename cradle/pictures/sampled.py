"""Pictures looked up between their pixels, at however many places."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray


_ROWS: Final = 32_000
"""So many rows of places are looked up at once: more than 32,766 are refused."""


def sampled(image: NDArray[Any], at_px: NDArray[Any]) -> NDArray[Any]:
    """The image at each of ``(n, k, 2)`` places, ``(n, k)``, or ``(n, k, c)``: between four pixels in proportion, beyond its rim as on it."""
    import cv2

    at = np.asarray(at_px, dtype=np.float32)
    parts = [at[first : first + _ROWS] for first in range(0, len(at), _ROWS)]
    found = [
        cv2.remap(image, part[..., 0], part[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
        for part in parts
    ]
    return np.concatenate(found)
