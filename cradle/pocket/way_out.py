"""The way out: the direction along which the thing is lifted, one for its pocket and for its chance of fit."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.planar import Regions, shifted, simplified, united
from cradle.geometry.region_measures import area_mm2
from cradle.geometry.vectors import lengths, unit
from cradle.loft.body import Body
from cradle.pocket.stance import highest_held_mm, stand_matrix
from cradle.pocket.sweep import Sweep
from cradle.pocket.undercut import undercut
from cradle.project.block import BlockSpec
from cradle.project.convert import AUTO, Auto, Triple
from cradle.project.fit import STEEPEST_LIFT_OUT_DEG

_LEVELS: Final = 24
"""While directions are compared the body is known at this many heights."""
_SEARCH_MM = 0.05
"""While directions are compared levels are simplified to within this."""

_BACK = -0.9
"""Ways whose cosine with the last step is no greater than this lead back, and are not tried."""


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
    return unit(np.array([*best, 1.0]))


def _cheapest(levels: Regions, slope: Floats, *, heights_mm: Floats, steps_deg: Sequence[float]) -> Floats:
    """The slope ``(2,)`` that costs least, looked for from another one in ever smaller steps along eight ways."""
    around = np.arange(8) * np.pi / 4
    compass = np.column_stack([np.cos(around), np.sin(around)])
    least = float(_cost_mm3(levels, slope[None], heights_mm=heights_mm)[0])
    same = 1e-9 * max(_volume_mm3(levels, heights_mm), 1.0)
    for step in np.tan(np.radians(steps_deg)):
        ways = compass
        while True:
            tries = slope + step * ways
            found = _cost_mm3(levels, tries, heights_mm=heights_mm, most_mm3=least)
            k = int(np.argmin(found))
            if found[k] >= least - same:
                break
            slope, least = tries[k], float(found[k])
            ways = compass[compass @ ways[k] > _BACK]  # all but the one back to where it came from
    return slope


def _cost_mm3(levels: Regions, slopes: Floats, *, heights_mm: Floats, most_mm3: float = np.inf) -> Floats:
    """What sweeping along each slope ``(d, 2)`` adds, and a little for leaning, ``(d,)``, mm³; inf where that is more than ``most_mm3``."""
    tilt = lengths(slopes)
    out = np.full(len(slopes), np.inf)
    tried = np.flatnonzero(tilt <= np.tan(np.radians(STEEPEST_LIFT_OUT_DEG)))
    dear = 1e-4 * _volume_mm3(levels, heights_mm) * tilt[tried]
    added = _added_mm3(levels, heights_mm=heights_mm, slopes=slopes[tried], most_mm3=most_mm3 - dear)
    out[tried] = added + dear
    return out


def _volume_mm3(levels: Regions, heights_mm: Floats) -> float:
    return float(np.trapezoid(area_mm2(levels), heights_mm))


def _added_mm3(levels: Regions, *, heights_mm: Floats, slopes: Floats, most_mm3: Floats) -> Floats:
    """What sweeping the levels along each of many ways out adds to them, ``(d,)``, mm³; inf where that is more than ``most_mm3``.

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
    added = np.zeros(len(slopes))
    live = np.arange(len(slopes))
    swept = np.full(len(slopes), levels[0], dtype=object)
    for k in range(1, len(levels)):
        swept = united(shifted(swept, slopes[live] * rises[k - 1]), levels[k])
        added[live] += slabs[k] * (area_mm2(swept) - own[k])
        further = added[live] <= most_mm3[live]
        added[live[~further]] = np.inf
        live, swept = live[further], swept[further]
        if not len(live):
            break
    return added


def way_out(body: Body, *, asked: Triple | Auto, block: BlockSpec) -> Floats:
    """The unit vector along which the thing is lifted out, in its own frame, ``(3,)``.

    Of the body itself, whatever clearance it is given: the easiest of the part
    that is in the block, or the one asked for.
    """
    if asked == AUTO:
        heights, levels = _held(body, block=block)
        return frozen(easiest_direction(levels, heights_mm=heights))
    return frozen(unit(np.array(asked, dtype=np.float64)))


def least_undercut_mm(body: Body, *, block: BlockSpec) -> float:
    """How deep the undercut of the part in the block is along the easiest way out, mm."""
    heights, levels = _held(body, block=block)
    direction = easiest_direction(levels, heights_mm=heights)
    opened = Sweep.along(direction).opened(levels, heights_mm=heights)
    return undercut(levels, opened, heights_mm=heights).depth_mm


def _held(body: Body, *, block: BlockSpec) -> tuple[Floats, Regions]:
    """Heights, ``(n,)``, mm, and the body there: the part that is in the block."""
    points = body.mesh.vertices_mm
    low = float(body.heights_mm[0])
    high = highest_held_mm(
        points[:, :2],
        high_mm=float(points[:, 2].max()),
        stand_from_thing=stand_matrix(body.mesh.vertices_mm, lean_deg=block.lean_deg),
        top_mm=block.height_mm,
    )
    edge = 1e-3 * (high - low)
    heights = np.linspace(low + edge, high - edge, _LEVELS)
    return heights, body.levels_at(heights)
