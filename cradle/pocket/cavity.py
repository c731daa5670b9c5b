"""Cavity: what is cut out of a block, for one thing or for several side by side."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.planar import Region, Regions, region_even_odd, union, united, widened
from cradle.geometry.region_measures import bounds, covers, inside
from cradle.geometry.solid import Solid, mesh_of, shadow
from cradle.geometry.solid import union as solid_union
from cradle.noun import noun

_NOTHING: Final = region_even_odd([])
_NEARLY_MM: Final = 0.005
"""Levels that stand out by less than this are not joined to the plan: joining costs more than they add."""


@noun
class Cavity:
    """The hollow of a block, in the stand frame.

    Attributes
    ----------
    solid : Solid
        Goes on above the block's top, so that the cut is clean.
    mouth : Solid or None
        The lead-in: a chamfer round the hollow at the block's top.
    heights_mm : (m,) float64
        Heights of the levels, rising from the floor to the block's top.
    levels : (m,) regions
        The hollow at those heights, without the lead-in.
    bottom_mm : float
        Height of its floor; below 0 by the clearance there.
    top_mm : float
        Height of the block's top.
    """

    solid: Solid
    mouth: Solid | None
    heights_mm: Floats
    levels: Regions
    bottom_mm: float
    top_mm: float

    def plan(self) -> Region:
        """The hollow seen from above, without the lead-in; parts that stand out by less than `_NEARLY_MM` may be missing.

        A hollow that leans, or to which room was added, may stand out between its levels: then its shadow is joined too.
        """
        top = self.levels[-1:]
        beyond = ~covers(np.repeat(widened(top, _NEARLY_MM), len(self.levels)), self.levels)
        plan = union(np.concatenate([self.levels[beyond], top]))
        if inside(self._corners_mm(), widened(plan, _NEARLY_MM)).all():
            return plan
        return union([plan, shadow(self.solid, below_mm=self.top_mm)])

    def extent_mm(self) -> Floats:
        """Least x, least y, greatest x, greatest y of the hollow, ``(4,)``, without the lead-in."""
        boxes, corners = bounds(self.levels), self._corners_mm()
        low = np.concatenate([boxes[:, :2], corners]).min(axis=0)
        return np.concatenate([low, np.concatenate([boxes[:, 2:], corners]).max(axis=0)])

    def _corners_mm(self) -> Floats:
        """The corners of the hollow below the block's top, seen from above, ``(n, 2)``: some may stand out between its levels."""
        vertices = mesh_of(self.solid).vertices_mm
        return vertices[vertices[:, 2] <= self.top_mm, :2]

    def middle_mm(self) -> tuple[float, float]:
        """The middle of the hollow's box seen from above."""
        x0, y0, x1, y1 = self.extent_mm().tolist()
        return (x0 + x1) / 2, (y0 + y1) / 2

    def level_at(self, height_mm: float) -> Region:
        """The hollow at the level nearest to a height."""
        return self.levels[int(np.argmin(np.abs(self.heights_mm - height_mm)))]


def joined_cavities(cavities: Sequence[Cavity]) -> Cavity:
    """One hollow from several that lie clear of each other under one block top.

    Its levels are at the heights of them all; where a hollow has no level of
    its own, the nearest stands for it.
    """
    if len(cavities) == 1:
        return cavities[0]
    heights = np.unique(np.concatenate([one.heights_mm for one in cavities]))
    levels = np.full(len(heights), _NOTHING, dtype=object)
    for one in cavities:
        middles = (one.heights_mm[1:] + one.heights_mm[:-1]) / 2
        there = one.levels[np.searchsorted(middles, heights)]
        there[heights < one.heights_mm[0]] = _NOTHING
        levels = united(levels, there)
    mouths = [one.mouth for one in cavities if one.mouth is not None]
    return Cavity(
        solid=solid_union([one.solid for one in cavities], where="pocket"),
        mouth=solid_union(mouths, where="lead-in") if mouths else None,
        heights_mm=frozen(heights),
        levels=levels,
        bottom_mm=min(one.bottom_mm for one in cavities),
        top_mm=cavities[0].top_mm,
    )
