"""The sweep along the way out: what must be open so that the thing can be lifted out.

Moving along the unit direction u, a part of the thing at height z' passes
height z > z' shifted by (z − z') (u_x, u_y) / u_z. So, from the bottom up,
open(z) = grown(z) ∪ shift(open(z − dz)).
"""

from __future__ import annotations

import numpy as np

from cradle.geometry.arrays import Bools, Floats
from cradle.geometry.outer_regions import outer_regions
from cradle.geometry.planar import (
    Region,
    Regions,
    bands_ahead,
    common,
    filled,
    outer_rings,
    shifted,
    union,
    united,
)
from cradle.geometry.region_measures import covers, empty, nearly_covers
from cradle.geometry.ring import valleys_filled
from cradle.noun import noun
from cradle.pocket.budget import FINEST, ErrorBudget


@noun
class Sweep:
    """How levels are carried up along the way out.

    Attributes
    ----------
    aside : (2,) float64
        mm sideways per mm up.
    """

    aside: Floats
    budget: ErrorBudget

    @classmethod
    def along(cls, direction: Floats, *, budget: ErrorBudget = FINEST) -> Sweep:
        """The sweep along a direction that leads up, ``(3,)``."""
        return cls(aside=direction[:2] / direction[2], budget=budget)

    def opened(self, grown: Regions, *, heights_mm: Floats) -> Regions:
        """The grown body swept along, as a region at each of ``(m,)`` rising heights; holes are filled.

        What two levels have in common is taken to go on between them: it is swept all along, not from level to level.
        """
        own: Regions = np.array([filled(level) for level in grown], dtype=object)
        out = own.copy()
        for k in range(1, len(own)):
            by_mm = self.aside * (heights_mm[k] - heights_mm[k - 1])
            carried = _carried(out[k - 1], by_mm)
            if by_mm.any():
                carried = union([carried, *bands_ahead(common(own[k - 1], own[k]), by_mm=by_mm)])
            out[k] = self._joined(own[k], carried)
        return out

    def with_what_is_below(self, grown: Regions, below: Regions, *, rises_mm: Floats) -> Regions:
        """Levels of the grown body, each with what the one below carries up to it, ``(n,)``.

        Parameters
        ----------
        grown : (n,) regions
        below : (n,) regions
            Opened.
        rises_mm : (n,) float64
            How far each lies above the one below it.
        """
        out: Regions = np.empty(len(grown), dtype=object)
        for k, (low, own, rise) in enumerate(zip(below, grown, rises_mm.tolist(), strict=True)):
            out[k] = self._joined(filled(own), _carried(low, self.aside * rise))
        return out

    def swept_on(self, opened: Regions, *, stale: Bools, heights_mm: Floats) -> tuple[Regions, Bools]:
        """Opened levels, each with all that lower ones carry up to it; and which of them have become wider.

        Parameters
        ----------
        opened : (m,) regions
            Each with its own level of the grown body.
        stale : (m,) bool
            Those that changed since what they carry up was last added above.
        heights_mm : (m,) float64
        """
        out: Regions = np.array(opened, dtype=object)
        wider = np.zeros(len(out), dtype=bool)
        for k in range(1, len(out)):
            if not (stale[k - 1] or wider[k - 1]):
                continue
            carried = _carried(out[k - 1], self.aside * (heights_mm[k] - heights_mm[k - 1]))
            if not nearly_covers(out[k], carried, within_mm=self.budget.outline_mm):
                out[k] = self._joined(out[k], carried)
                wider[k] = True
        return out, wider

    def _joined(self, own: Region, carried: Region) -> Region:
        """The union of two regions, its holes and shallow valleys filled; if one covers the other, that one as it is."""
        if covers(own, carried):
            return own
        if covers(carried, own):
            return carried
        within = self.budget.valley_mm
        rings = [valleys_filled(ring, within_mm=within) for ring in outer_rings(united(own, carried))]
        return outer_regions([rings], within_mm=self.budget.swept_mm)[0]


def _carried(below: Region, by_mm: Floats) -> Region:
    return shifted(below, by_mm) if by_mm.any() and not empty(below) else below
