"""Hollows that run through a thing from its lowest section to its highest, as the inner corner of an L does: its own form, not a groove."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

import numpy as np

from cradle.geometry.arrays import Floats
from cradle.geometry.planar import Region, common, region
from cradle.geometry.region_measures import area_mm2
from cradle.sections.hollows import Hollow

_LARGE: Final = 0.08
"""A hollow is large if its area is more than this part of the outline's."""
_SHARED: Final = 0.5
"""Two hollows are one if more than this part of the smaller lies in the other."""


def through_hollows(
    rings: Sequence[Floats], hollows: Sequence[Sequence[Hollow]]
) -> tuple[tuple[Hollow, ...], ...]:
    """For each section, its large hollows that belong to one that runs through all sections.

    Parameters
    ----------
    rings : k arrays, (n, 2) float64
        The sections' outlines, counter-clockwise, from below.
    hollows
        The hollows of each.
    """
    large = [
        [(one, area) for one in own if area_mm2(area := _region(ring, one)) > _LARGE * area_mm2(region(ring))]
        for ring, own in zip(rings, hollows, strict=True)
    ]
    from_below = _going_on(large)
    through = _going_on(reversed(from_below))
    return tuple(tuple(one for one, _ in own) for own in reversed(through))


def _going_on(large: Iterable[list[tuple[Hollow, Region]]]) -> list[list[tuple[Hollow, Region]]]:
    """For each section, the hollows that continue a kept one of the section before; for the first, all."""
    kept: list[list[tuple[Hollow, Region]]] = []
    for own in large:
        before = kept[-1] if kept else own
        kept.append([(one, area) for one, area in own if any(_are_one(area, other) for _, other in before)])
    return kept


def _are_one(a: Region, b: Region) -> bool:
    return bool(area_mm2(common(a, b)) > _SHARED * min(area_mm2(a), area_mm2(b)))


def _region(ring: Floats, hollow: Hollow) -> Region:
    return region(np.vstack([hollow.start_mm, ring[hollow.points], hollow.end_mm]))
