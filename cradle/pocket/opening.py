"""The grown body opened along the way out, at heights so close that the straight wall between them keeps the gap."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cradle.geometry.arrays import Bools, Floats, Ints
from cradle.geometry.planar import Regions, boundary_gaps, covers, empty, widened
from cradle.geometry.solid import Solid
from cradle.geometry.stack import halfway
from cradle.pocket.budget import BULGE_MM
from cradle.pocket.grow import grown_levels
from cradle.pocket.withdrawal import opened_levels, with_more_levels

_CLOSEST_MM = 0.01
"""Levels are not put nearer to each other than this."""
_ROUNDS = 8


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class OpenedStack:
    """The grown body and the opened one, a region each at each of ``(m,)`` rising heights."""

    heights_mm: Floats
    grown: Regions
    opened: Regions


def opened_stack(grown: Solid, *, heights_mm: Floats, direction: Floats) -> OpenedStack:
    """The opened body at the given heights, and between them wherever the straight wall would cut the grown body.

    Parameters
    ----------
    grown : Solid
        Raw offset of the body (`cradle.pocket.grow.grown_body`).
    heights_mm : (m,) float64
        Rising; those that miss the grown body are left out.
    direction : (3,) float64
        Way out.
    """
    levels = grown_levels(grown, heights_mm=heights_mm)
    there = ~empty(levels)
    heights, levels = heights_mm[there], levels[there]
    new = np.ones(len(heights), dtype=bool)
    for _ in range(_ROUNDS):
        where, middles, between = _cut(grown, heights, levels, new=new)
        if not len(where):
            break
        heights, levels = np.insert(heights, where, middles), np.insert(levels, where, between)
        new = np.insert(np.zeros(len(new), dtype=bool), where, True)
    opened = opened_levels(levels, heights_mm=heights, direction=direction)
    new = np.ones(len(heights), dtype=bool)
    for _ in range(_ROUNDS):
        where, middles, between = _cut(grown, heights, opened, new=new)
        if not len(where):
            break
        heights, levels = np.insert(heights, where, middles), np.insert(levels, where, between)
        where = where + np.arange(len(where))
        opened, new = with_more_levels(opened, between, where=where, heights_mm=heights, direction=direction)
    return OpenedStack(heights_mm=heights, grown=levels, opened=opened)


def _cut(grown: Solid, heights_mm: Floats, walls: Regions, *, new: Bools) -> tuple[Ints, Floats, Regions]:
    """Where the straight wall between levels, one of them new, would cut the grown body half way up.

    Returns
    -------
    where : (n,) int
        The numbers of the levels above.
    middles_mm : (n,) float64
        The heights half way up.
    between : (n,) regions
        The grown body there.
    """
    slabs = np.flatnonzero((new[1:] | new[:-1]) & (np.diff(heights_mm) > 2 * _CLOSEST_MM))
    middles = (heights_mm[slabs] + heights_mm[slabs + 1]) / 2
    between = grown_levels(grown, heights_mm=middles)
    lows, highs = walls[slabs], walls[slabs + 1]
    lean = boundary_gaps(lows, highs) / (
        heights_mm[slabs + 1] - heights_mm[slabs]
    )  # the least, mm sideways per mm up
    cut = ~covers(widened(halfway(lows, highs), BULGE_MM * np.hypot(1.0, lean)), between)
    return slabs[cut] + 1, middles[cut], between[cut]
