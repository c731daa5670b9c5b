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
from cradle.geometry.planar import Regions, offset, point_count, simplified, union
from cradle.geometry.solid import Solid, cut_regions
from cradle.pocket.clearance import ClearanceProfile
from cradle.pocket.slopes import Slopes

STEP_DEG = 10.0
"""Angle between neighbouring sections that grow one level: costs at most 0.4 % of the clearance."""
_SMOOTH_MM = 0.002
"""Sections lose points that stand out less than this, and are grown by as much more."""
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
_SAGITTA_MM = 0.002
"""Levels follow a round edge so closely that a chord between two leaves it by no more than this."""
_LEVEL_RISE = 0.2
"""The grown edge is a fillet that levels follow if the edge rises by less than this part of its length."""
_UPRIGHT_RISE = 0.7
"""An edge steeper than this is as good as a wall."""
_CLOSEST = 0.03
"""No edge is cut more often than at this part of the clearance."""
_NEARLY = 0.99
"""A wall that leans by one of the angles needs no other."""
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
    levels = [heights - reach * np.sin(np.radians(carried)), np.array([top_mm]), _fillets(slopes, profile)]
    wanted = np.unique(np.concatenate(levels))
    wanted = wanted[(wanted <= top_mm) & (wanted >= z0 - float(profile.at(np.array([z0]))[0]))]
    kept = [float(wanted[0])]
    for z in wanted[1:]:
        if z - kept[-1] >= _MERGE_MM or z == top_mm:
            kept.append(float(z))
    return _divided(np.array(kept), slopes, profile, finer=finer)


def _fillets(slopes: Slopes, profile: ClearanceProfile) -> Floats:
    """Levels for the round edges of the grown body, at equal angles, mm."""
    level = slopes.edge_rises < _LEVEL_RISE
    edge = slopes.edges_mm[level].mean(axis=1)
    step = np.sqrt(8 * _SAGITTA_MM / max(profile.greatest_mm, 1e-9))
    angles = np.linspace(-np.pi / 2, np.pi / 2, 2 * max(1, int(np.ceil(np.pi / 2 / step))) + 1)
    near = np.radians(slopes.edge_leans_deg[level]) + np.array([angles[0], angles[-1]]) / (
        (len(angles) - 1) / 2
    )
    which, angle = np.nonzero((angles > near[:, :1]) & (angles < near[:, 1:]))
    return edge[which] - profile.at(edge)[which] * np.sin(angles[angle])


def _divided(heights_mm: Floats, slopes: Slopes, profile: ClearanceProfile, *, finer: float) -> Floats:
    """The heights with others between them, so that the wall moves little sideways from one to the next."""
    low, high = slopes.strips_mm.T
    leans = np.radians(slopes.strip_leans_deg)
    low = low - profile.at(low) * np.sin(leans[:, 1])  # where the offset of a strip lies
    high = high - profile.at(high) * np.sin(leans[:, 0])
    steep = np.abs(leans).max(axis=1)
    there = (low < heights_mm[1:, None]) & (high > heights_mm[:-1, None])  # (m - 1, s)
    slope = np.tan(
        np.where(there, np.minimum(steep, np.radians(_STEEPEST_DEG)), 0.0).max(axis=1, initial=0.0)
    )
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
        Of the same body, measured with `STEP_DEG`.
    profile : ClearanceProfile
        Clearance against the height of the part of the body that it surrounds.
    heights_mm : (m,) float64
        Between the body's least height − c and its greatest + c.
    """
    z0, z1 = slopes.low_mm, slopes.high_mm
    step = np.radians(STEP_DEG)
    ball = profile.at(heights_mm) / np.cos(step / 2)  # (m,)
    grid = np.arange(-np.pi / 2, np.pi / 2 + step / 2, step)  # (g,) rad
    wanted = slopes.facing(heights_mm, reach_mm=ball, angles=grid, within=step * _NEARLY)  # (m, g)
    level, angle = np.nonzero(wanted)
    source = heights_mm[level] + ball[level] * np.sin(grid[angle])
    sharp, leans = _sharp(slopes, reach_mm=float(ball.max()))
    part = (sharp - heights_mm[:, None]) / np.maximum(ball[:, None], 1e-12)
    toward = np.arcsin(np.clip(part, -1, 1))
    near, exact = np.nonzero(
        (np.abs(part) <= 1) & (toward >= leans[:, 0] - step) & (toward <= leans[:, 1] + step)
    )
    level = np.concatenate([level, near])
    source = np.concatenate([source, sharp[exact]])
    source = np.clip(source, z0 + _INSIDE_MM, z1 - _INSIDE_MM)
    reach2 = (profile.at(source) / np.cos(step / 2)) ** 2 - (source - heights_mm[level]) ** 2
    use = reach2 >= 0
    level, source, radius = level[use], source[use], np.sqrt(reach2[use])
    cuts, which = np.unique(source, return_inverse=True)
    sections = cut_regions(body, cuts)
    outlines = simplified(sections, within_mm=_SMOOTH_MM)
    more = np.where(point_count(outlines) < point_count(sections), _SMOOTH_MM, 0.0)
    pieces = offset(outlines[which], radius + more[which])
    order = np.argsort(level, kind="stable")
    bounds = np.searchsorted(level[order], np.arange(len(heights_mm) + 1))
    pieces = pieces[order]
    grown = np.empty(len(heights_mm), dtype=object)
    for k, (a, b) in enumerate(pairwise(bounds)):
        grown[k] = union(pieces[a:b])
    return grown


def _sharp(slopes: Slopes, *, reach_mm: float) -> tuple[Floats, Floats]:
    """Heights of sharp edges, ``(k,)``, mm, and between which angles a ball touches them, ``(k, 2)``, rad.

    An edge that rises is cut so often that between two cuts the ball stands
    off by no more than between two angles, `STEP_DEG` apart.
    """
    flat = slopes.edge_rises < _UPRIGHT_RISE
    (low, high), rise = slopes.edges_mm[flat].T, slopes.edge_rises[flat]
    leans = np.radians(slopes.edge_leans_deg[flat])
    half = np.radians(STEP_DEG) / 2
    retreat = np.tan(np.minimum(np.abs(leans).max(axis=1, initial=0.0), np.radians(_STEEPEST_DEG)))
    spacing = np.maximum(2 * np.sin(half) * rise, 2 * (1 - np.cos(half)) / np.maximum(retreat, 1e-9))
    unit = (
        reach_mm * _CLOSEST * 2 ** np.floor(np.log2(np.maximum(spacing / _CLOSEST, 1)))
    )  # cuts shared by many
    start, count = np.ceil(low / unit), np.maximum(np.floor(high / unit) - np.ceil(low / unit) + 1, 0)
    edge = np.repeat(np.arange(len(unit)), count.astype(np.int64))
    place = start[edge] + np.arange(len(edge)) - np.repeat(np.cumsum(count) - count, count.astype(np.int64))
    heights = np.concatenate([low, high, place * unit[edge], [slopes.low_mm, slopes.high_mm]])
    leans = np.concatenate([leans, leans, leans[edge], np.tile([-np.pi / 2, np.pi / 2], (2, 1))])
    _, first, which = np.unique(np.round(heights, 2), return_index=True, return_inverse=True)
    merged: Floats = np.tile([np.inf, -np.inf], (len(first), 1))
    np.minimum.at(merged[:, 0], which, leans[:, 0])
    np.maximum.at(merged[:, 1], which, leans[:, 1])
    return heights[first], merged
