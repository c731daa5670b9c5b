"""A place on the holder in words, counted from where a ruler is laid."""

from __future__ import annotations

from typing import TypeAlias

Corner: TypeAlias = tuple[float, float]
"""Least x and y of the holder, print frame, mm."""


def place_words(x_mm: float, y_mm: float, *, corner_mm: Corner) -> str:
    """Where a point is seen from above, from the holder's left edge and from its front edge.

    Examples
    --------
    >>> place_words(12.0, -4.0, corner_mm=(-20.0, -9.0))
    "32 mm from the holder's left edge and 5 mm from its front"
    """
    x, y = x_mm - corner_mm[0], y_mm - corner_mm[1]
    return f"{x:z.0f} mm from the holder's left edge and {y:z.0f} mm from its front"
