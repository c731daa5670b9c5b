"""Where a test ring stays open, as its holder is: what sticks out of the thing and goes down a notch has to get past the ring too."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

import numpy as np

from cradle.geometry.arrays import Floats
from cradle.geometry.planar import Region, outer_rings, region, union, without
from cradle.geometry.region_measures import bounds
from cradle.geometry.shapes import rectangle
from cradle.noun import noun
from cradle.pocket.stance import StandFromThing
from cradle.project.opening import NotchSpec
from cradle.project.side import Side

_FAR_MM: Final = 50.0
"""A gap goes on this far past the hole, through all of the ring."""


@noun
class RingGap:
    """The side on which a ring is open, and the strip that is cut out of it, in the thing's own frame."""

    side: Side
    strip: Region


@noun
class Notched:
    """What a ring has to know of the holder to be open where that is.

    Attributes
    ----------
    notches : sequence of NotchSpec
        Of the thing's own pocket.
    middle_mm : (2,) float64
        x and y where notches lie whose place is not said, stand frame.
    top_mm : float
        Height of the holder's rim, stand frame.
    stand_from_thing : StandFromThing
    """

    notches: Sequence[NotchSpec]
    middle_mm: Floats
    top_mm: float
    stand_from_thing: StandFromThing

    def gaps(self, hole: Region, *, height_mm: float) -> list[RingGap]:
        """The gaps in the ring about a hole, at a height on the thing: one for each notch that goes down past it, as wide as that at its widest."""
        box = bounds(hole).reshape(2, 2)
        gaps = []
        for notch in self.notches:
            side = Side(notch.through)
            out, along = side.axis, 1 - side.axis
            at = self.middle_mm[along] if notch.at_mm is None else notch.at_mm[0]
            turned = self.stand_from_thing[along]
            place = np.array([0.0, 0.0, height_mm, 1.0])
            place[out] = box[(side.outward + 1) // 2, out]
            place[along] = (at - turned[2] * height_mm - turned[3]) / turned[along]
            if self.stand_from_thing[2] @ place > self._bottom_mm(notch):
                ends = np.array([place[:2], place[:2]])
                ends[:, along] += [-notch.width_mm / 2, notch.width_mm / 2]
                ends[:, out] = np.sort([box[:, out].mean(), place[out] + side.outward * _FAR_MM])
                gaps.append(RingGap(side=side, strip=region(rectangle(*ends))))
        return gaps

    def _bottom_mm(self, notch: NotchSpec) -> float:
        """The height of a notch's lowest point, stand frame."""
        if notch.depth_mm is not None:
            return self.top_mm - notch.depth_mm
        return -np.inf if notch.at_mm is None else notch.at_mm[1]


def in_one_piece(ring: Region, gaps: Iterable[RingGap]) -> list[RingGap]:
    """Those of the gaps, the first ones first, that leave a ring in one piece."""
    kept: list[RingGap] = []
    for gap in gaps:
        if len(outer_rings(with_gaps(ring, [*kept, gap]))) == 1:
            kept.append(gap)
    return kept


def with_gaps(ring: Region, gaps: Sequence[RingGap]) -> Region:
    """The ring less its gaps."""
    return without(ring, union([gap.strip for gap in gaps])) if gaps else ring
