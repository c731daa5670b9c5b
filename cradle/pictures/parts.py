"""The parts that a field above a level falls into: the piece is one of them, what lies beside it others."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cradle.geometry.level_lines import closed_level_lines
from cradle.geometry.planar import region
from cradle.geometry.region_measures import inside
from cradle.geometry.ring import signed_area

if TYPE_CHECKING:
    from cradle.geometry.arrays import Floats, Singles


def parts_above(field: Singles) -> list[Floats]:
    """The lines round all parts of a field that lie above 0.5, ``(n, 2)`` px each, the largest first; holes are left out.

    Parameters
    ----------
    field : (h, w) float32

    Examples
    --------
    >>> import numpy as np
    >>> field = np.zeros((40, 60), np.float32)
    >>> field[5:35, 5:35] = field[10:20, 45:55] = 1.0
    >>> field[12:22, 12:22] = 0.0
    >>> [round(signed_area(ring)) for ring in parts_above(field)]
    [900, 100]
    """
    sized = [(signed_area(ring), ring) for ring in closed_level_lines(field, level=0.5)]
    parts: list[Floats] = []
    for area, ring in sorted(sized, key=lambda one: -one[0]):
        # round a hole lines run the other way; what lies in one is no part of its own
        if area > 0 and not any(inside(ring[:1], region(part))[0] for part in parts):
            parts.append(ring)
    return parts


def holding(parts: list[Floats], point_px: Floats | None) -> int:
    """Which of the parts a point lies in; the first where none is given or it lies in none."""
    if point_px is None:
        return 0
    return next((k for k, part in enumerate(parts) if inside(point_px[None], region(part))[0]), 0)
