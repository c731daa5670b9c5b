"""A place in words: on the holder counted from where a ruler is laid, on a thing by its side."""

from __future__ import annotations

import math
from typing import Final, TypeAlias

Corner: TypeAlias = tuple[float, float]
"""Least x and y of the holder, print frame, mm."""

_SIDES: Final = ("right", "back right", "back", "back left", "left", "front left", "front", "front right")
"""Of a thing seen from above, from its right on in eighths of a turn to its back."""


def side_words(right_mm: float, back_mm: float) -> str:
    """The side of a thing that a place lies on, from its middle seen from above.

    Examples
    --------
    >>> side_words(-3.0, 14.0), side_words(9.0, -8.0)
    ('back', 'front right')
    """
    eighth = round(math.atan2(back_mm, right_mm) / (math.pi / 4))
    return _SIDES[eighth % len(_SIDES)]


def place_words(x_mm: float, y_mm: float, *, corner_mm: Corner) -> str:
    """Where a point is seen from above, from the holder's left edge and from its front edge.

    Examples
    --------
    >>> place_words(12.0, -4.0, corner_mm=(-20.0, -9.0))
    "32 mm from the holder's left edge and 5 mm from its front"
    """
    x, y = x_mm - corner_mm[0], y_mm - corner_mm[1]
    return f"{x:z.0f} mm from the holder's left edge and {y:z.0f} mm from its front"
