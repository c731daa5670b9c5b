"""Sharp tips that the small copy's mask does not reach: where they are thinner than what it keeps, they go on in the picture."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.pictures.masks import grown_by

if TYPE_CHECKING:
    from cradle.geometry.arrays import Bools, Singles

_TAPERS: Final = 0.8
"""A triangle fills half of its width times its length, a line that runs up to the piece all of it; a tip no more than this."""
_SLENDER: Final = 0.5
"""A tip is at least this part of its width long."""
_LONGEST_MM: Final = 8.0
_WIDEST_MM: Final = 2.5
"""Greatest length and width of a tip ..."""
_LOST_PX: Final = 5.0
"""... or this width, small px, and a length in proportion, where that is more: what is narrower the small copy's mask loses."""


def thin_tips(field: Singles, *, reached: Bools, shrink: float, grain_mm: float) -> Bools:
    """What goes on beyond the reach of a mask and tapers, as tips do, ``(h, w)``.

    Parameters
    ----------
    field : (h, w) float32
        0 on the ground, 1 on the piece.
    reached : (h, w) bool
        As far as the mask lets the edge lie.
    shrink : float
        Full pixels to one of the mask.
    grain_mm : float
        Length of a pixel.
    """
    import cv2

    beyond = (field > 0.5) & ~reached
    begins = beyond & (grown_by(reached, 1) > 0)
    tips = np.zeros_like(reached)
    if not begins.any():
        return tips
    widest = max(_WIDEST_MM / grain_mm, _LOST_PX * shrink)
    longest = widest * _LONGEST_MM / _WIDEST_MM
    _, labels, boxes, _ = cv2.connectedComponentsWithStats(beyond.astype(np.uint8), connectivity=8)
    for number in np.unique(labels[begins]).tolist():
        x, y, wide, high, size = boxes[number].tolist()
        if max(wide, high) > longest:
            continue
        own = labels[y : y + high, x : x + wide] == number
        at = np.argwhere(own)
        rim = np.argwhere(own & begins[y : y + high, x : x + wide])
        base = float(np.ptp(rim, axis=0).max()) + 1.0
        length = float(np.hypot(*(at - rim.mean(axis=0)).T).max()) + 0.5
        if base < widest and length > _SLENDER * base and size < _TAPERS * base * length:
            tips[y : y + high, x : x + wide] |= own
    return tips
