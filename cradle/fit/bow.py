"""Bow: how strongly the skin curves upright in each gap between sections, by how far a loft without one section misses it.

A straight loft misses a curved skin by f″/2 · (z − a)(b − z) between heights
a and b (the remainder of linear interpolation, any numerical analysis text):
the bow stands for f″/2.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from cradle.geometry.arrays import Floats, following, preceding
from cradle.geometry.vectors import cross, unit
from cradle.loft.interpolate import cubic_at, monotone_slopes, straight_at
from cradle.matching.ring_stack import RingStack
from cradle.project.section import Between

_ASSUMED_CURVES: Final = 3.0
"""With two sections the skin's radius of curvature, upright, is taken as this many mean widths (no source)."""
SMOOTH_LEAVES: Final = 1 / 3
"""Part of the bow that a smooth loft through three sections leaves.

A ball of radius 40 cut every 10 mm: monotone cubics miss it by 0.128 mm at most where straight lines miss
it by 0.679, a fifth; a third allows for less regular things.
"""


def bows(stack: RingStack, *, between: Between = Between.AUTO) -> Floats:
    """Bow of each gap between neighbouring sections, ``(k − 1,)``, 1/mm, as a standard uncertainty.

    For three or more sections the root mean square of what leaving out the
    gap's own two sections shows, either or both. Of three only two are left,
    which a straight loft joins; a smooth loft through all three leaves
    `SMOOTH_LEAVES` of that.
    """
    heights, rings = stack.heights_mm, stack.rings_mm
    k = len(heights)
    if k == 2:
        width = float(np.ptp(rings, axis=1).mean())
        return np.array([1 / (2 * _ASSUMED_CURVES * width)])
    found = np.full(k, np.nan)
    for i in range(1, k - 1):
        product = (heights[i] - heights[i - 1]) * (heights[i + 1] - heights[i])
        found[i] = _missed_mm(stack, i, between=between) / product
    if k == 3 and between is not Between.STRAIGHT:
        found *= SMOOTH_LEAVES
    pairs = np.column_stack([found[:-1], found[1:]])
    return np.sqrt(np.nanmean(np.square(pairs), axis=1))


def _missed_mm(stack: RingStack, i: int, *, between: Between) -> float:
    """Root mean square distance, square to the skin, of section i from the loft through the others, mm."""
    heights, rings = stack.heights_mm, stack.rings_mm
    kept = np.delete(np.arange(len(heights)), i)
    at = heights[i : i + 1]
    if between is not Between.STRAIGHT and len(kept) > 2:
        slopes = monotone_slopes(heights[kept], rings[kept])
        there = cubic_at(heights[kept], rings[kept], slopes, at)[0]
    else:
        there = straight_at(heights[kept], rings[kept], at)[0]
    ring = rings[i]
    along = following(ring) - preceding(ring)
    missed = there - ring
    out = cross(missed, unit(along))
    weight = np.linalg.norm(following(ring) - ring, axis=1)
    weight = (weight + preceding(weight)) / weight.sum() / 2
    return float(np.sqrt((weight * out**2).sum()))
