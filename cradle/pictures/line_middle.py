"""The middle of a drawn line between its outside and its inside, and its width."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.geometry.arrays import Floats
from cradle.geometry.edge_search import edge_index, feet_on, nearest_edges
from cradle.geometry.planar import common, made_sound, offset, outer_rings, region, united, without
from cradle.geometry.region_measures import area_mm2

if TYPE_CHECKING:
    from cradle.geometry.planar import Region

_BEYOND: Final = 0.15
"""Only at sharp corners does an edge, moved by half the line's width, lie off the middle by more than this part of the width."""


def middle_of(outside: Floats, inside: Floats) -> tuple[Floats, float]:
    """The middle between two edges of a line, ``(n, 2)``, and the line's median width, in their unit.

    Half way from each point of the outside to the nearest of the inside; at
    the tips of corners, half the line's width from the edge that is round it:
    a pen's round point leaves the other edge far behind there.
    """
    near_in = nearest_on(inside, outside)
    width = float(np.median(np.hypot(*(near_in - outside).T)))
    return _with_corners((outside + near_in) / 2, outside, inside, width), width


def nearest_on(ring: Floats, points: Floats) -> Floats:
    """Nearest places on a closed polyline, ``(n, 2)``."""
    return feet_on(ring, points, edges=nearest_edges(edge_index(ring), points))[0]


def _with_corners(middle: Floats, outside: Floats, inside: Floats, width: float) -> Floats:
    """The middle with its corners as sharp as they were drawn."""
    wide, narrow, area = (_sound(ring) for ring in (outside, inside, middle))
    wide, narrow = offset(wide, -width / 2), offset(narrow, width / 2)
    tips = outer_rings(without(wide, offset(area, _BEYOND * width)))
    nooks = outer_rings(without(area, offset(narrow, _BEYOND * width)))
    for ring in nooks:
        if _share(area, ring, width) > 0.5:  # at a tip the inside stays behind as well
            area = without(area, without(offset(region(ring), width / 2), narrow))
    for ring in tips:
        if _share(area, ring, width) < 0.5:
            area = united(area, common(wide, offset(region(ring), width / 2)))
    return outer_rings(area)[0] if tips or nooks else middle


def _share(area: Region, ring: Floats, width: float) -> float:
    """Part of what lies round a place that belongs to an area: less than half at its tips, more at its nooks."""
    around = offset(region(ring), 2 * width)
    return float(area_mm2(common(area, around)) / area_mm2(around))


def _sound(ring: Floats) -> Region:
    return made_sound(np.array([region(ring)], dtype=object))[0]
