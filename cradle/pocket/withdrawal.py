"""The way out: what must be open so that the thing can be lifted out.

Moving along the unit direction u, a part of the thing at height z' passes
height z > z' shifted by (z − z') (u_x, u_y) / u_z. So, from the bottom up,
open(z) = grown(z) ∪ shift(open(z − dz)).
"""

from __future__ import annotations

from collections.abc import Sequence
from math import inf

import numpy as np

from cradle.geometry.arrays import Bools, Floats
from cradle.geometry.outer_regions import outer_regions
from cradle.geometry.planar import (
    Region,
    Regions,
    area_mm2,
    bands_ahead,
    common,
    covers,
    distances,
    empty,
    filled,
    nearly_covers,
    outer_rings,
    perimeter_mm,
    shifted,
    simplified,
    union,
    united,
)
from cradle.geometry.ring import valleys_filled
from cradle.noun import record
from cradle.pocket.budget import FINEST, ErrorBudget
from cradle.project.fit import STEEPEST_LIFT_OUT_DEG

_LEAST_DEPTH_MM = 0.01
"""An undercut shallower than this is none."""
_ROUGH = 64
"""So many points of each level are looked at first ..."""
_FINE = 4
"""... and all of them on the levels that looked deepest."""
_SEARCH_MM = 0.05
"""Levels, and what is swept of them, are known so well while directions are compared."""


@record
class Undercut:
    """Where the thing holds itself in: depth in mm and the place of the deepest.

    ``by_height_mm`` holds rising heights, each with the depth there.
    """

    depth_mm: float
    filled_mm3: float
    place_mm: tuple[float, float, float] | None
    by_height_mm: tuple[tuple[float, float], ...] = ()

    def held_to_mm(self, *, room_mm: float) -> float:
        """The greatest height at which the undercut is no deeper than ``room_mm``, mm; −∞ where it is deeper everywhere.

        >>> Undercut(
        ...     depth_mm=4.0, filled_mm3=1.0, place_mm=(0.0, 0.0, 20.0), by_height_mm=((10.0, 0.0), (20.0, 4.0))
        ... ).held_to_mm(room_mm=1.0)
        12.5
        """
        held = [k for k, (_, depth) in enumerate(self.by_height_mm) if depth <= room_mm]
        if not held:
            return -inf
        height, depth = self.by_height_mm[held[-1]]
        if held[-1] + 1 == len(self.by_height_mm):
            return height
        above, more = self.by_height_mm[held[-1] + 1]
        return height + (above - height) * (room_mm - depth) / (more - depth)


def opened_levels(
    grown: Regions, *, heights_mm: Floats, direction: Floats, budget: ErrorBudget = FINEST
) -> Regions:
    """The grown body swept along the way out, as a region at each height; holes are filled.

    What two levels have in common is taken to go on between them: it is swept all along, not from level to level.
    """
    slope = direction[:2] / direction[2]
    own: Regions = np.array([filled(level) for level in grown], dtype=object)
    out = own.copy()
    for k in range(1, len(own)):
        by_mm = slope * (heights_mm[k] - heights_mm[k - 1])
        carried = _carried(out[k - 1], by_mm)
        if by_mm.any():
            carried = union([carried, *bands_ahead(common(own[k - 1], own[k]), by_mm=by_mm)])
        out[k] = joined(own[k], carried, budget=budget)
    return out


def with_what_is_below(
    grown: Regions, below: Regions, *, rises_mm: Floats, direction: Floats, budget: ErrorBudget
) -> Regions:
    """Levels of the grown body, each with what the one below carries up to it along the way out, ``(n,)``.

    Parameters
    ----------
    grown : (n,) regions
    below : (n,) regions
        Swept along the way out.
    rises_mm : (n,) float64
        How far each lies above the one below it.
    direction : (3,) float64
        Way out.
    budget : ErrorBudget
    """
    slope = direction[:2] / direction[2]
    out: Regions = np.empty(len(grown), dtype=object)
    for k, (low, own, rise) in enumerate(zip(below, grown, rises_mm.tolist(), strict=True)):
        out[k] = joined(filled(own), _carried(low, slope * rise), budget=budget)
    return out


def swept_on(
    opened: Regions, *, stale: Bools, heights_mm: Floats, direction: Floats, budget: ErrorBudget
) -> tuple[Regions, Bools]:
    """Opened levels with all that those below them carry up, and which have become wider.

    Parameters
    ----------
    opened : (m,) regions
        Each with its own level of the grown body.
    stale : (m,) bool
        Those above which something changed since they were swept.
    heights_mm : (m,) float64
    direction : (3,) float64
        Way out.
    budget : ErrorBudget
    """
    slope = direction[:2] / direction[2]
    out: Regions = np.array(opened, dtype=object)
    wider = np.zeros(len(out), dtype=bool)
    for k in range(1, len(out)):
        if not (stale[k - 1] or wider[k - 1]):
            continue
        carried = _carried(out[k - 1], slope * (heights_mm[k] - heights_mm[k - 1]))
        if not nearly_covers(out[k], carried, within_mm=budget.outline_mm):
            out[k] = joined(out[k], carried, budget=budget)
            wider[k] = True
    return out, wider


def _carried(below: Region, by_mm: Floats) -> Region:
    return shifted(below, by_mm) if by_mm.any() and not empty(below) else below


def joined(own: Region, carried: Region, *, budget: ErrorBudget) -> Region:
    """Two regions together, holes filled; one of them as it is where it covers the other."""
    if covers(own, carried):
        return own
    if covers(carried, own):
        return carried
    rings = [valleys_filled(ring, within_mm=budget.valley_mm) for ring in outer_rings(united(own, carried))]
    whole: Region = outer_regions([rings], within_mm=budget.swept_mm)[0]
    return whole


def undercut(grown: Regions, opened: Regions, *, heights_mm: Floats) -> Undercut:
    """How much wider the way out is than the grown body."""
    extra = area_mm2(opened) - area_mm2(grown)
    filled = float(np.trapezoid(extra, heights_mm))
    wide = np.flatnonzero(extra > _LEAST_DEPTH_MM * perimeter_mm(opened) / 10)
    rings = {k: np.concatenate(outer_rings(opened[k])) for k in wide.tolist()}
    rough = {
        k: float(distances(ring[:: 1 + len(ring) // _ROUGH], grown[k]).max()) for k, ring in rings.items()
    }
    depths, depth, place = dict(rough), 0.0, None
    for k in sorted(rough, key=lambda k: -rough[k])[:_FINE]:
        away = distances(rings[k], grown[k])
        worst = int(np.argmax(away))
        depths[k] = float(away[worst])
        if away[worst] > depth:
            depth = float(away[worst])
            place = (float(rings[k][worst, 0]), float(rings[k][worst, 1]), float(heights_mm[k]))
    if depth < _LEAST_DEPTH_MM:
        return Undercut(depth_mm=0.0, filled_mm3=0.0, place_mm=None)
    return Undercut(
        depth_mm=depth,
        filled_mm3=max(filled, 0.0),
        place_mm=place,
        by_height_mm=tuple((height, depths.get(k, 0.0)) for k, height in enumerate(heights_mm.tolist())),
    )


def easiest_direction(levels: Regions, *, heights_mm: Floats) -> Floats:
    """The unit direction within `STEEPEST_LIFT_OUT_DEG` of up whose sweep adds least, ``(3,)``.

    A compass search over the two slopes, from upright, halving its step from
    16 to 0.25 degrees: over every other level until it is small, then over all
    of them. Ties go to the more upright direction.
    """
    rough = simplified(levels, within_mm=_SEARCH_MM)
    upright = np.zeros(2)
    if _cost_mm3(rough, upright[None], heights_mm=heights_mm)[0] <= 1e-6 * _volume_mm3(rough, heights_mm):
        return np.array([0.0, 0.0, 1.0])
    few = np.union1d(np.arange(0, len(levels), 2), len(levels) - 1)
    near = _cheapest(rough[few], upright, heights_mm=heights_mm[few], steps_deg=(16.0, 8.0, 4.0, 2.0, 1.0))
    best = _cheapest(rough, near, heights_mm=heights_mm, steps_deg=(0.5, 0.25))
    direction = np.array([*best, 1.0])
    return direction / np.linalg.norm(direction)


def _cheapest(levels: Regions, slope: Floats, *, heights_mm: Floats, steps_deg: Sequence[float]) -> Floats:
    """The slope ``(2,)`` that costs least, looked for from another one in ever smaller steps along eight ways."""
    around = np.arange(8) * np.pi / 4
    compass = np.column_stack([np.cos(around), np.sin(around)])
    least = float(_cost_mm3(levels, slope[None], heights_mm=heights_mm)[0])
    same = 1e-9 * max(_volume_mm3(levels, heights_mm), 1.0)
    for step in np.tan(np.radians(steps_deg)):
        while True:
            tries = slope + step * compass
            found = _cost_mm3(levels, tries, heights_mm=heights_mm, most_mm3=least)
            k = int(np.argmin(found))
            if found[k] >= least - same:
                break
            slope, least = tries[k], float(found[k])
    return slope


def _cost_mm3(levels: Regions, slopes: Floats, *, heights_mm: Floats, most_mm3: float = np.inf) -> Floats:
    """What sweeping along each slope ``(d, 2)`` adds, and a little for leaning, ``(d,)``, mm³; inf where more than most."""
    tilt = np.hypot(slopes[:, 0], slopes[:, 1])
    out = np.full(len(slopes), np.inf)
    tried = np.flatnonzero(tilt <= np.tan(np.radians(STEEPEST_LIFT_OUT_DEG)))
    dear = 1e-4 * _volume_mm3(levels, heights_mm) * tilt[tried]
    added = _added_mm3(levels, heights_mm=heights_mm, slopes=slopes[tried], most_mm3=most_mm3 - dear)
    out[tried] = added + dear
    return out


def _volume_mm3(levels: Regions, heights_mm: Floats) -> float:
    return float(np.trapezoid(area_mm2(levels), heights_mm))


def _added_mm3(levels: Regions, *, heights_mm: Floats, slopes: Floats, most_mm3: Floats) -> Floats:
    """What sweeping the levels along each of many ways out adds to them, ``(d,)``, mm³; inf where it is more than most.

    Parameters
    ----------
    levels : (m,) regions
    heights_mm : (m,) float64
    slopes : (d, 2) float64
        mm sideways per mm up.
    most_mm3 : (d,) float64
        A way that adds more by a level is not followed further up, since no level above takes anything away.
    """
    rises = np.diff(heights_mm)
    slabs = (np.append(rises, 0.0) + np.insert(rises, 0, 0.0)) / 2  # as the trapezoidal rule weighs levels
    own = area_mm2(levels)
    # fewer points may take so much away
    most_mm3 = most_mm3 + _SEARCH_MM * float((slabs * perimeter_mm(levels)).sum())
    added = np.zeros(len(slopes))
    live = np.arange(len(slopes))
    swept = np.full(len(slopes), levels[0], dtype=object)
    for k in range(1, len(levels)):
        swept = united(shifted(swept, slopes[live] * rises[k - 1]), levels[k])
        swept = simplified(swept, within_mm=_SEARCH_MM)
        added[live] += slabs[k] * (area_mm2(swept) - own[k])
        further = added[live] <= most_mm3[live]
        added[live[~further]] = np.inf
        live, swept = live[further], swept[further]
        if not len(live):
            break
    return added
