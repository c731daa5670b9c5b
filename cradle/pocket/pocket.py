"""Pocket: the body grown by the clearance and opened along the way out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cradle.errors import PocketError
from cradle.geometry.arrays import Floats
from cradle.geometry.mesh import TriMesh, bounds_mm
from cradle.geometry.planar import Region, Regions, bounds, empty, offset, outer_rings, union
from cradle.geometry.solid import Solid, cut_regions, solid
from cradle.geometry.stack import stack_solid
from cradle.pocket.clearance import ClearanceProfile
from cradle.pocket.grow import grown_levels, level_heights
from cradle.pocket.withdrawal import Undercut, easiest_direction, opened_levels, undercut
from cradle.project.spec import AUTO, Auto, Triple

_ABOVE_MM = 1.0
"""The pocket goes on this far above the block's top, so that the cut is clean."""
_SEARCH_LEVELS = 24


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Pocket:
    """What is cut out of the block, in the stand frame.

    Attributes
    ----------
    solid : Solid
        Closed; goes on above the block's top.
    heights_mm : (m,) float64
        Heights of the levels, rising from the pocket's floor to the block's top.
    levels : (m,) regions
        The pocket at those heights, before the lead-in.
    clearance : ClearanceProfile
    direction : (3,) float64
        Unit vector along which the thing is lifted out.
    undercut : Undercut
    bottom_mm : float
        Height of the pocket's floor; below 0 by the clearance there.
    top_mm : float
        Height of the block's top.
    """

    solid: Solid
    heights_mm: Floats
    levels: Regions
    clearance: ClearanceProfile
    direction: Floats
    undercut: Undercut
    bottom_mm: float
    top_mm: float

    def plan(self) -> Region:
        """The pocket seen from above, without the lead-in."""
        return union(self.levels)

    def level_at(self, height_mm: float) -> Region:
        """The pocket at the level nearest to a height."""
        return self.levels[int(np.argmin(np.abs(self.heights_mm - height_mm)))]


def make_pocket(
    mesh: TriMesh, *, clearance: ClearanceProfile, insertion: Triple | Auto, top_mm: float, lead_in_mm: float = 0.0
) -> Pocket:
    """The pocket for a body that stands at z = 0.

    Parameters
    ----------
    mesh : TriMesh
        The body in the stand frame.
    clearance : ClearanceProfile
        Clearance per side against height in the stand frame.
    insertion : (3,) or "auto"
        Direction in which the thing is lifted out, stand frame.
    top_mm : float
        Height of the block's top.
    lead_in_mm : float
        The mouth widens by this much over its last ``lead_in_mm``.

    Raises
    ------
    PocketError
        If the clearance is negative, or the body does not reach into the block.
    """
    if clearance.least_mm < 0:
        raise PocketError(
            f"a clearance of {clearance.least_mm:g} mm is negative", hint="give 0 or more, per side"
        )
    z0, z1 = bounds_mm(mesh)[:, 2]
    if not z0 < top_mm:
        raise PocketError(f"the block's top at {top_mm:g} mm lies below the thing's lowest point at {z0:g} mm")
    body = solid(mesh, where="body")
    direction = _direction(body, insertion, low_mm=float(z0), high_mm=min(float(z1), top_mm))
    heights = level_heights(mesh, clearance, top_mm=top_mm)
    grown = grown_levels(body, mesh, clearance, heights_mm=heights)
    if empty(grown[0]):
        heights, grown = heights[1:], grown[1:]
    opened = opened_levels(grown, heights_mm=heights, direction=direction)
    mouth_heights, mouth = _with_mouth(heights, opened, lead_in_mm=lead_in_mm)
    return Pocket(
        solid=stack_solid(mouth_heights, mouth, where="pocket"),
        heights_mm=heights,
        levels=opened,
        clearance=clearance,
        direction=direction,
        undercut=undercut(grown, opened, heights_mm=heights),
        bottom_mm=float(heights[0]),
        top_mm=top_mm,
    )


def _direction(body: Solid, insertion: Triple | Auto, *, low_mm: float, high_mm: float) -> Floats:
    if insertion == AUTO:
        edge = 1e-3 * (high_mm - low_mm)
        heights = np.linspace(low_mm + edge, high_mm - edge, _SEARCH_LEVELS)
        return easiest_direction(cut_regions(body, heights), heights_mm=heights)
    direction = np.array(insertion, dtype=np.float64)
    direction /= np.linalg.norm(direction)
    if direction[2] <= 0.1:
        raise PocketError(
            f"the thing cannot be lifted out along ({direction[0]:.3g}, {direction[1]:.3g}, {direction[2]:.3g})",
            where="fit.insertion",
            hint="give a direction that points up",
        )
    return direction


def _with_mouth(heights_mm: Floats, levels: Regions, *, lead_in_mm: float) -> tuple[Floats, Regions]:
    """The levels with the lead-in chamfer at 45 degrees, and one level above the block's top."""
    top = float(heights_mm[-1])
    if lead_in_mm > 0:
        start = top - lead_in_mm
        k = int(np.searchsorted(heights_mm, start + 1e-9))
        if heights_mm[k] - start > 1e-6 and k > 0:
            heights_mm = np.insert(heights_mm, k, start)
            levels = np.insert(levels, k, levels[k])
        widening = np.clip(heights_mm - start, 0, None)
        levels = np.where(widening > 0, offset(levels, np.maximum(widening, 1e-9)), levels)
    return np.append(heights_mm, top + _ABOVE_MM), np.append(levels, levels[-1])


def size_at(pocket: Pocket, height_mm: float) -> tuple[float, float]:
    """Width and depth of the pocket at a height, mm."""
    x0, y0, x1, y1 = bounds(pocket.level_at(height_mm))
    return float(x1 - x0), float(y1 - y0)


def rings_at(pocket: Pocket, height_mm: float) -> list[Floats]:
    """Outlines of the pocket at a height, counter-clockwise, ``(n, 2)`` each, mm."""
    return outer_rings(pocket.level_at(height_mm))
