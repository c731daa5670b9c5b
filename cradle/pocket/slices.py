"""Slices of a pocket: what of it lies about some heights, without making the rest.

Between slices the hollow need not be a solid: it is enough to know what the
levels of the grown body carry up along the way out to the foot of the next
slice. Only within a slice are levels put so close that its wall keeps the gap.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cradle.geometry.arrays import Floats
from cradle.geometry.outer_regions import outer_regions
from cradle.geometry.planar import Region, Regions, outer_rings, shifted, union, widened
from cradle.geometry.region_measures import covers, empty
from cradle.geometry.solid import Solid, thinned_solid
from cradle.geometry.solid import union as joined
from cradle.noun import noun
from cradle.pocket.budget import FINEST, ErrorBudget
from cradle.pocket.clearance import ClearanceProfile
from cradle.pocket.grow import GrownBody, grown_body
from cradle.pocket.level_heights import check_effort, level_heights
from cradle.pocket.opened_stack import CLOSEST_MM, HALVINGS, TALL_MM, finished_stack, stack_of
from cradle.pocket.prepared_body import PreparedBody
from cradle.pocket.room import lacking_room
from cradle.pocket.sweep import Sweep

_BEYOND_MM = 0.1
"""How far a slice goes on below and above, so that cuts are clean."""
_FLOOR_MM = 1e-3
"""Least height above the pocket's floor at which a slice begins."""
_APART_MM = 0.02
"""No level lies nearer than this to an end of a slice."""


@noun
class PocketSlice:
    """The hollow between two heights, ``low_mm`` and ``high_mm``, and a little beyond; all in the thing's own frame."""

    solid: Solid
    low_mm: float
    high_mm: float


def pocket_slices(
    body: PreparedBody,
    *,
    heights_mm: Sequence[float],
    thickness_mm: float,
    clearance: ClearanceProfile,
    direction: Floats,
    budget: ErrorBudget = FINEST,
) -> list[PocketSlice]:
    """The slices of a body's pocket about each of ``(n,)`` heights: ± half the thickness, but not below its floor.

    Within the budget they are what the whole pocket has there (`cradle.pocket.pocket`).

    Parameters
    ----------
    body : PreparedBody
        In its own frame, reaching past the topmost slice.
    heights_mm : (n,) float
        Rising.
    direction : (3,) float64
        Unit vector along which the thing is lifted out.

    Raises
    ------
    PocketError
        If that takes too much cutting.
    """
    if not heights_mm:
        return []
    top = heights_mm[-1] + thickness_mm
    heights = level_heights(body.slopes, clearance, top_mm=top, direction=direction, budget=budget)
    check_effort(body.mesh, heights_mm=heights)
    grown = grown_body(body.shape, clearance, up_to_mm=top, budget=budget)
    sweep = Sweep.along(direction, budget=budget)
    levels = grown.levels(heights)
    there = ~empty(levels)
    heights, levels = heights[there], levels[there]
    floor = float(heights[0])
    found: list[PocketSlice] = []
    for height in heights_mm:
        low = max(height - thickness_mm / 2, floor + _FLOOR_MM)
        high = low + thickness_mm
        begin = max(low - _BEYOND_MM, floor)
        # all that comes up to the next slice is in this one's foot or above it
        heights, levels = _from_foot(begin, grown, heights_mm=heights, levels=levels, sweep=sweep)
        hollow = _hollow(grown, heights_mm=heights, levels=levels, top_mm=high, sweep=sweep)
        room = lacking_room(
            hollow,
            body.solid,
            low_mm=low,
            top_mm=high,
            clearance_at=lambda points: clearance.at(points[:, 2]),
            direction=direction,
            least_mm=clearance.least_mm - budget.margin_mm,
        )
        whole = hollow if room is None else joined([hollow, room], where="pocket")
        found.append(PocketSlice(solid=whole, low_mm=low, high_mm=high))
    return found


def _from_foot(
    foot_mm: float, grown: GrownBody, *, heights_mm: Floats, levels: Regions, sweep: Sweep
) -> tuple[Floats, Regions]:
    """The heights and levels from a foot on upwards; the foot holds all that the levels below carry up to it."""
    lower = heights_mm <= foot_mm
    foot = _foot(
        grown,
        heights_mm=np.append(heights_mm[lower], foot_mm),
        levels=np.append(levels[lower], grown.levels(np.array([foot_mm]))),
        sweep=sweep,
    )
    return np.array([foot_mm, *heights_mm[~lower]]), np.array([foot, *levels[~lower]], dtype=object)


def _hollow(grown: GrownBody, *, heights_mm: Floats, levels: Regions, top_mm: float, sweep: Sweep) -> Solid:
    """The hollow from the lowest level, which holds all that comes up to it, to a height and a little beyond."""
    inner = (heights_mm > heights_mm[0] + _APART_MM) & (heights_mm < top_mm - _APART_MM)
    begun = stack_of(
        np.concatenate([levels[:1], levels[inner], grown.levels(np.array([top_mm]))]),
        heights_mm=np.array([heights_mm[0], *heights_mm[inner], top_mm]),
        sweep=sweep,
    )
    hollow = finished_stack(grown, begun).solid_up_to(top_mm + _BEYOND_MM)
    return thinned_solid(hollow, within_mm=grown.budget.thinned_mm, where="pocket")


def _foot(grown: GrownBody, *, heights_mm: Floats, levels: Regions, sweep: Sweep) -> Region:
    """The highest of some levels, with all that everything below carries up to it.

    Between levels the body is looked at at the same heights as in a stack: half way up, in tall slabs also a quarter
    and three quarters of the way up.
    """
    top, whole = heights_mm[-1], levels[-1]

    def carried(at_mm: Floats, there: Regions) -> Regions:
        return shifted(there, sweep.aside * (top - at_mm[:, None]))

    tall = np.diff(heights_mm) > TALL_MM
    halves = heights_mm[:-1][tall] + np.diff(heights_mm)[tall] / 2
    known = np.append(heights_mm[:-1], halves)
    own = np.append(levels[:-1], grown.levels(halves))
    whole = _with(whole, carried(known, own), budget=sweep.budget)
    edges = np.sort(np.append(known, top))
    lows, highs = edges[:-1], edges[1:]
    for _ in range(HALVINGS):
        wide = highs - lows > 2 * CLOSEST_MM
        lows, highs = lows[wide], highs[wide]
        middles = (lows + highs) / 2
        between = carried(middles, grown.levels(middles))
        beyond = ~covers(np.full(len(between), whole), widened(between, -sweep.budget.bulge_mm))
        if not beyond.any():
            break
        whole = _with(whole, between[beyond], budget=sweep.budget)
        lows, highs = (
            np.concatenate([lows[beyond], middles[beyond]]),
            np.concatenate([middles[beyond], highs[beyond]]),
        )
    return whole


def _with(area: Region, others: Regions, *, budget: ErrorBudget) -> Region:
    """The union of a region and others, holes filled; the region as it is where it covers them."""
    beyond = ~covers(np.full(len(others), area), others)
    if not beyond.any():
        return area
    whole = union([area, *others[beyond]])
    return outer_regions([outer_rings(whole)], within_mm=budget.swept_mm)[0]
