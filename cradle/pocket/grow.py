"""The body grown by the clearance, level by level.

The grown body at a height is what the plane section of its raw offset
(`offset_surface.py`) winds round.
"""

from __future__ import annotations

import numpy as np

from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.layers import layered
from cradle.geometry.planar import Region, Regions
from cradle.geometry.solid import Solid, outer_sections, solid
from cradle.pocket.budget import FINEST, ErrorBudget
from cradle.pocket.clearance import ClearanceProfile
from cradle.pocket.offset_surface import raw_offset
from cradle.pocket.shape import Shape, shape_of

_TALLER = 1.01
"""Faces no taller than this many chords of the clearance follow it as they are."""


class GrownBody:
    """A body grown by its clearance, known by its plane sections.

    It keeps those it was asked for: sweeps come back to many heights.

    Parameters
    ----------
    offset : Solid
        The raw offset of the body, which may cross itself: what its plane sections wind round is the grown body.
    """

    def __init__(self, offset: Solid, *, budget: ErrorBudget) -> None:
        self.budget = budget
        self._offset = offset
        self._known: dict[float, Region] = {}

    def levels(self, heights_mm: Floats) -> Regions:
        """The grown body as a region at each of ``(m,)`` heights, holes filled; empty where it is not."""
        new = [height for height in heights_mm.tolist() if height not in self._known]
        cut = outer_sections(self._offset, frozen(new), within_mm=self.budget.outline_mm)
        self._known.update(zip(new, cut, strict=True))
        return np.array([self._known[height] for height in heights_mm.tolist()], dtype=object)


def grown_body(
    shape: Shape, clearance: ClearanceProfile, *, up_to_mm: float = np.inf, budget: ErrorBudget = FINEST
) -> GrownBody:
    """A body grown by the clearance.

    Parameters
    ----------
    clearance : ClearanceProfile
        Clearance against the height of the part of the body that it surrounds.
    up_to_mm : float
        No plane section is asked for above this height.
    """
    known = _known_where_it_bends(shape, clearance, within_mm=budget.between_mm)
    offset = raw_offset(known, clearance, round_to_mm=up_to_mm, budget=budget)
    return GrownBody(solid(offset, where="grown body"), budget=budget)


def _known_where_it_bends(shape: Shape, clearance: ClearanceProfile, *, within_mm: float) -> Shape:
    """The shape with edges added at the heights where the clearance bends: between corners the raw offset is straight."""
    heights, steps = clearance.bends_mm(within_mm=within_mm)
    z = shape.mesh.vertices_mm[shape.mesh.faces, 2]
    low, high = z.min(axis=1), z.max(axis=1)
    tall = [
        bool(((low < height) & (high > height) & (high - low > _TALLER * step)).any())
        for height, step in zip(heights.tolist(), steps.tolist(), strict=True)
    ]
    return shape_of(layered(shape.mesh, heights[tall])) if any(tall) else shape
