"""The body grown by the clearance, level by level.

At height z the dilation of a body S by a ball of radius c is the union, over
|d| < c, of S(z + d) offset in its plane by sqrt(c² − d²). Where the wall leans
by β from upright only d = c sin β touches, so each level takes its sections at
the angles its neighbourhood leans by, every `STEP_DEG`. Between two such angles
the union falls short of the ball by at most 1 − cos(STEP/2) of c; the ball is
made larger by that factor, so the clearance is never less than asked.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from cradle.geometry.arrays import Floats
from cradle.geometry.planar import Regions, offset, union
from cradle.geometry.solid import Solid, cut_regions
from cradle.pocket.clearance import ClearanceProfile
from cradle.pocket.slopes import Slopes

STEP_DEG = 10.0
"""Angle between neighbouring sections that grow one level: costs at most 0.4 % of the clearance."""
_INSIDE_MM = 1e-5
"""How far inside the body its end sections are cut."""
_MERGE_MM = 0.02
"""Levels nearer to each other than this are one."""
_LARGEST_GAP_MM = 2.0
"""No two levels lie further apart than this."""
_LARGEST_MOVE_MM = 1.5
"""No wall moves further sideways than this from one level to the next ..."""
_STEEPEST_DEG = 80.0
"""... unless it leans by more than this."""
_MANY_HEIGHTS = 600
"""A mesh with more heights than this is not made of layers; its levels are spaced evenly."""
_EVEN_MM = 0.25


def level_heights(slopes: Slopes, profile: ClearanceProfile, *, top_mm: float, finer: float = 1.0) -> Floats:
    """Heights at which the grown body must be known, rising up to ``top_mm``, ``(m,)``, mm.

    A wall that leans by β carries its offset surface c sin β lower, so every
    layer of the body asks for a level there; where the wall bends upward or
    downward, the offset surface is a fillet, which levels follow at equal angles.
    ``finer`` divides the largest distances between levels.
    """
    z0, z1 = slopes.low_mm, slopes.high_mm
    heights = slopes.layers_mm
    if len(heights) > _MANY_HEIGHTS:
        heights = np.linspace(z0, z1, max(2, int(np.ceil((z1 - z0) / _EVEN_MM)) + 1))
    reach = profile.at(heights)
    walls = slopes.middles_mm
    carried = np.interp(heights, walls, slopes.leans_deg) if len(walls) else np.zeros_like(heights)
    levels = [heights - reach * np.sin(np.radians(carried)), np.array([top_mm])]
    for height, least, most in slopes.bends:
        angles = np.linspace(least, most, int(np.ceil((most - least) / STEP_DEG)) + 1)
        levels.append(height - profile.at(np.array([height])) * np.sin(np.radians(angles)))
    wanted = np.unique(np.concatenate(levels))
    wanted = wanted[(wanted <= top_mm) & (wanted >= z0 - float(profile.at(np.array([z0]))[0]))]
    kept = [float(wanted[0])]
    for z in wanted[1:]:
        if z - kept[-1] >= _MERGE_MM or z == top_mm:
            kept.append(float(z))
    return _divided(np.array(kept), slopes, reach_mm=float(reach.max()), finer=finer)


def _divided(heights_mm: Floats, slopes: Slopes, *, reach_mm: float, finer: float) -> Floats:
    """The heights with others between them, so that the wall moves little sideways from one to the next."""
    middle = 0.5 * (heights_mm[1:] + heights_mm[:-1])
    least, most = slopes.range_near(middle, reach_mm=reach_mm)
    slope = np.tan(np.minimum(np.maximum(np.abs(least), np.abs(most)), np.radians(_STEEPEST_DEG)))
    gap = np.minimum(_LARGEST_GAP_MM, _LARGEST_MOVE_MM / np.maximum(slope, 1e-9)) / finer
    steps = np.ceil(np.diff(heights_mm) / gap).astype(np.int64)
    parts = [np.linspace(a, b, n + 1)[1:] for a, b, n in zip(heights_mm, heights_mm[1:], steps, strict=False)]
    return np.concatenate([heights_mm[:1], *parts])


def grown_levels(body: Solid, slopes: Slopes, profile: ClearanceProfile, *, heights_mm: Floats) -> Regions:
    """The body grown by the clearance, as a region at each of ``(m,)`` heights.

    Parameters
    ----------
    body : Solid
    slopes : Slopes
        Of the same body, surveyed with `STEP_DEG`.
    profile : ClearanceProfile
        Clearance against the height of the part of the body that it surrounds.
    heights_mm : (m,) float64
        Between the body's least height − c and its greatest + c.
    """
    z0, z1 = slopes.low_mm, slopes.high_mm
    step = np.radians(STEP_DEG)
    ball = profile.at(heights_mm) / np.cos(step / 2)  # (m,)
    least, most = slopes.range_near(heights_mm, reach_mm=float(ball.max()))
    grid = np.arange(-np.pi / 2, np.pi / 2 + step / 2, step)  # (g,) rad
    wanted = (grid >= least[:, None] - step) & (grid <= most[:, None] + step)  # (m, g)
    level, angle = np.nonzero(wanted)
    source = heights_mm[level] + ball[level] * np.sin(grid[angle])
    sharp = slopes.sharp_mm
    near, exact = np.nonzero(np.abs(sharp - heights_mm[:, None]) <= ball[:, None])
    level = np.concatenate([level, near])
    source = np.concatenate([source, sharp[exact]])
    source = np.clip(source, z0 + _INSIDE_MM, z1 - _INSIDE_MM)
    reach2 = (profile.at(source) / np.cos(step / 2)) ** 2 - (source - heights_mm[level]) ** 2
    use = reach2 >= 0
    level, source, radius = level[use], source[use], np.sqrt(reach2[use])
    cuts, which = np.unique(source, return_inverse=True)
    pieces = offset(cut_regions(body, cuts)[which], radius)
    order = np.argsort(level, kind="stable")
    bounds = np.searchsorted(level[order], np.arange(len(heights_mm) + 1))
    pieces = pieces[order]
    grown = np.empty(len(heights_mm), dtype=object)
    for k, (a, b) in enumerate(pairwise(bounds)):
        grown[k] = union(pieces[a:b])
    return grown
