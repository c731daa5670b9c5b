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
from cradle.geometry.mesh import TriMesh, area_normals, bounds_mm, corners
from cradle.geometry.planar import Regions, offset, union
from cradle.geometry.solid import Solid, cut_regions
from cradle.pocket.clearance import ClearanceProfile

STEP_DEG = 10.0
"""Angle between neighbouring sections that grow one level: costs at most 0.4 % of the clearance."""
_CAP = 0.9999
"""A face whose normal is this upright is a cap: its edge is what grows, not its wall."""
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
_LEVEL_SLOPE = 0.2
"""An edge that rises less than this counts as level."""
_MANY_HEIGHTS = 600
"""A mesh with more heights than this is not made of layers; its levels are spaced evenly."""
_EVEN_MM = 0.25


def level_heights(mesh: TriMesh, profile: ClearanceProfile, *, top_mm: float, finer: float = 1.0) -> Floats:
    """Heights at which the grown body must be known, rising up to ``top_mm``, ``(m,)``, mm.

    A wall that leans by β carries its offset surface c sin β lower, so every
    layer of the body asks for a level there; where the wall bends upward or
    downward, the offset surface is a fillet, which levels follow at equal angles.
    ``finer`` divides the largest distances between levels.
    """
    z0, z1 = bounds_mm(mesh)[:, 2]
    lean, low, high = _leans(mesh)
    heights = np.unique(np.round(mesh.vertices_mm[:, 2], 6))
    if len(heights) > _MANY_HEIGHTS:
        heights = np.linspace(z0, z1, max(2, int(np.ceil((z1 - z0) / _EVEN_MM)) + 1))
    reach = profile.at(heights)
    middle = 0.5 * (low + high)
    order = np.argsort(middle, kind="stable")
    carried = np.interp(heights, middle[order], lean[order]) if len(order) else np.zeros_like(heights)
    levels = [heights - reach * np.sin(np.radians(carried)), np.array([top_mm])]
    for height, least, most in _bends(mesh):
        angles = np.linspace(least, most, int(np.ceil((most - least) / STEP_DEG)) + 1)
        levels.append(height - profile.at(np.array([height])) * np.sin(np.radians(angles)))
    wanted = np.unique(np.concatenate(levels))
    wanted = wanted[(wanted <= top_mm) & (wanted >= z0 - float(profile.at(np.array([z0]))[0]))]
    kept = [float(wanted[0])]
    for z in wanted[1:]:
        if z - kept[-1] >= _MERGE_MM or z == top_mm:
            kept.append(float(z))
    return _divided(np.array(kept), mesh, reach_mm=float(reach.max()), finer=finer)


def _divided(heights_mm: Floats, mesh: TriMesh, *, reach_mm: float, finer: float) -> Floats:
    """The heights with others between them, so that the wall moves little sideways from one to the next."""
    middle = 0.5 * (heights_mm[1:] + heights_mm[:-1])
    least, most = _lean_range(mesh, middle, reach_mm=reach_mm)
    slope = np.tan(np.minimum(np.maximum(np.abs(least), np.abs(most)), np.radians(_STEEPEST_DEG)))
    gap = np.minimum(_LARGEST_GAP_MM, _LARGEST_MOVE_MM / np.maximum(slope, 1e-9)) / finer
    steps = np.ceil(np.diff(heights_mm) / gap).astype(np.int64)
    parts = [np.linspace(a, b, n + 1)[1:] for a, b, n in zip(heights_mm, heights_mm[1:], steps, strict=False)]
    return np.concatenate([heights_mm[:1], *parts])


def _bends(mesh: TriMesh) -> list[tuple[float, float, float]]:
    """Where level edges bend by more than `STEP_DEG`: height and the leans on both sides."""
    ends, sides, _ = _edges(mesh)
    rise = np.abs(ends[:, 0, 2] - ends[:, 1, 2])
    run = np.hypot(*(ends[:, 0, :2] - ends[:, 1, :2]).T)
    bent = (np.ptp(sides, axis=1) > STEP_DEG) & (rise < _LEVEL_SLOPE * run)
    bend = np.column_stack([ends[bent, :, 2].mean(axis=1), np.sort(sides[bent], axis=1)])
    coarse = np.round(bend / [0.01, 5.0, 5.0])
    return [tuple(row) for row in bend[np.unique(coarse, axis=0, return_index=True)[1]].tolist()]


def _sharp_heights(mesh: TriMesh) -> Floats:
    """Heights of the ends of level edges that bend sharply: sections there must be cut exactly."""
    ends, _, cosines = _edges(mesh)
    rise = np.abs(ends[:, 0, 2] - ends[:, 1, 2])
    run = np.hypot(*(ends[:, 0, :2] - ends[:, 1, :2]).T)
    sharp = (cosines < np.cos(np.radians(STEP_DEG))) & (rise < run)
    heights = np.concatenate([ends[sharp, :, 2].ravel(), bounds_mm(mesh)[:, 2]])
    return heights[np.unique(np.round(heights, 2), return_index=True)[1]]


def _edges(mesh: TriMesh) -> tuple[Floats, Floats, Floats]:
    """Every edge once.

    Its ends ``(e, 2, 3)`` in mm, the leans beside it ``(e, 2)`` in degrees,
    and the cosine of the angle between its two faces ``(e,)``.
    """
    normals = area_normals(mesh)
    length = np.linalg.norm(normals, axis=1)
    unit = np.divide(normals, length[:, None], out=np.zeros_like(normals), where=length[:, None] > 0)
    lean = np.degrees(np.arcsin(np.clip(-unit[:, 2], -1, 1)))
    edges = np.sort(mesh.faces[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2), axis=1)
    order = np.lexsort((edges[:, 1], edges[:, 0]))
    faces = order.reshape(-1, 2) // 3
    cosines = (unit[faces[:, 0]] * unit[faces[:, 1]]).sum(axis=1)
    return mesh.vertices_mm[edges[order[::2]]], lean[faces], cosines


def grown_levels(body: Solid, mesh: TriMesh, profile: ClearanceProfile, *, heights_mm: Floats) -> Regions:
    """The body grown by the clearance, as a region at each of ``(m,)`` heights.

    Parameters
    ----------
    body, mesh
        The same closed body, as a solid and as triangles.
    profile : ClearanceProfile
        Clearance against the height of the part of the body that it surrounds.
    heights_mm : (m,) float64
        Between the body's least height − c and its greatest + c.
    """
    z0, z1 = bounds_mm(mesh)[:, 2]
    step = np.radians(STEP_DEG)
    ball = profile.at(heights_mm) / np.cos(step / 2)  # (m,)
    least, most = _lean_range(mesh, heights_mm, reach_mm=float(ball.max()))
    grid = np.arange(-np.pi / 2, np.pi / 2 + step / 2, step)  # (g,) rad
    wanted = (grid >= least[:, None] - step) & (grid <= most[:, None] + step)  # (m, g)
    level, angle = np.nonzero(wanted)
    source = heights_mm[level] + ball[level] * np.sin(grid[angle])
    sharp = _sharp_heights(mesh)
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


def _leans(mesh: TriMesh) -> tuple[Floats, Floats, Floats]:
    """Lean β of every wall face in degrees (positive: widening upward), its least and greatest z."""
    normals = area_normals(mesh)
    length = np.linalg.norm(normals, axis=1)
    z = corners(mesh)[:, :, 2]
    up = np.divide(normals[:, 2], length, out=np.zeros_like(length), where=length > 0)
    wall = (np.abs(up) < _CAP) & (length > 0)
    return np.degrees(np.arcsin(np.clip(-up[wall], -1, 1))), z[wall].min(axis=1), z[wall].max(axis=1)


def _lean_range(mesh: TriMesh, heights_mm: Floats, *, reach_mm: float) -> tuple[Floats, Floats]:
    """Least and greatest lean of the walls within reach of each height, ``(m,)``, rad."""
    lean, low, high = _leans(mesh)
    strip = np.round(np.column_stack([low, high]), 1)
    strips, which = np.unique(strip, axis=0, return_inverse=True)
    which = which.ravel()
    least = np.full(len(strips), np.inf)
    most = np.full(len(strips), -np.inf)
    np.minimum.at(least, which, lean)
    np.maximum.at(most, which, lean)
    near = (strips[:, 0] - 0.1 <= heights_mm[:, None] + reach_mm) & (
        strips[:, 1] + 0.1 >= heights_mm[:, None] - reach_mm
    )
    a = np.where(near, least, np.inf).min(axis=1)
    b = np.where(near, most, -np.inf).max(axis=1)
    a, b = np.where(np.isfinite(a), a, 0.0), np.where(np.isfinite(b), b, 0.0)
    return np.radians(a), np.radians(b)
