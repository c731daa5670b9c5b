"""At which heights the grown body is cut into levels before it is opened, and which body takes too much cutting.

The effort grows with the number of points of all levels. A level has as many as
facets of the body pass its height, and each is cut, joined with what lower ones
carry up, and looked at again half way to its neighbours.

Measured: 289 heights, passed by up to 1,240 facets each and by 290,000 in all,
take 13 s; outlines along pixels, 2.5 million points within 1.4 m, more than 180 s.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from cradle.errors import PocketError
from cradle.geometry.arrays import Bools, Floats
from cradle.geometry.knots import divided
from cradle.geometry.mesh import TriMesh
from cradle.loft.facets import PLAINER
from cradle.pocket.budget import FINEST, ErrorBudget
from cradle.pocket.clearance import ClearanceProfile
from cradle.pocket.slopes import Slopes

_MERGE_MM = 0.02
"""Levels nearer to each other than this are one."""
_MOST_LEVELS = 200
"""It is begun with about this many levels at most: a crumpled body asks for thousands, and more are added where a wall would cut it."""
_FINEST_PARTS = 400
"""No two levels lie nearer to each other than this part of the height in which the body changes."""
LARGEST_GAP_MM = 2.0
"""No two levels lie further apart than this, unless the grown body is the same at all heights between."""
_LARGEST_MOVE_MM = 1.5
"""Furthest that a wall moves sideways from one level to the next."""
_STEEPEST_DEG = 80.0
"""A wall that leans by more than this may move further."""
_LEVEL_RISE = 0.2
"""The grown edge is a fillet that levels follow if the edge rises by less than this part of its length."""
_MANY_HEIGHTS = 600
"""A mesh whose vertices have more heights than this is not made of layers; its levels are spaced evenly."""
_EVEN_MM = 0.25
"""How far apart evenly spaced levels lie."""
_UPRIGHT_DEG = 1e-4
"""Walls that lean by no more than this are upright: over 2 m they move by 0.004 mm."""
MOST_CROSSED: Final = 500_000
"""With more facets than this, passed at all heights together, cutting takes too long."""


def level_heights(
    slopes: Slopes,
    profile: ClearanceProfile,
    *,
    top_mm: float,
    direction: Floats,
    budget: ErrorBudget = FINEST,
) -> Floats:
    """The heights of the grown body's levels, rising up to ``top_mm``, ``(m,)``, mm.

    - Each layer of the body asks for one level. Beside a wall that leans by β, at
      clearance c, it lies c sin β lower than the layer.
    - Where a wall bends, the grown body has a fillet: levels follow it at equal angles.
    - In stretches where the grown body is the same all along, levels are needed
      only as the way out leads aside.
    """
    z0, z1 = slopes.low_mm, slopes.high_mm
    even = _even_stretches(slopes, profile, top_mm=top_mm)
    heights = slopes.layers_mm
    if len(heights) > _MANY_HEIGHTS:
        heights = np.linspace(z0, z1, max(2, int(np.ceil((z1 - z0) / _EVEN_MM)) + 1))
        heights = heights[~_inside(heights, heights, even)]
    reach = profile.at(heights)
    walls = slopes.middles_mm
    carried = np.interp(heights, walls, slopes.leans_deg) if len(walls) else np.zeros_like(heights)
    levels = [
        heights - reach * np.sin(np.radians(carried)),
        np.array([top_mm]),
        _fillets(slopes, profile, within_mm=budget.fillet_mm),
    ]
    wanted = np.unique(np.concatenate(levels))
    wanted = wanted[(wanted <= top_mm) & (wanted >= z0 - float(profile.at(np.array([z0]))[0]))]
    ends = even[(even > wanted[0]) & (even < top_mm)]
    uneven_mm = float(wanted[-1] - wanted[0] - np.diff(even).sum())
    kept = _set_apart(wanted, profile, ends_mm=ends, most_mm=uneven_mm / _FINEST_PARTS)
    if len(kept) > _MOST_LEVELS:
        kept = _set_apart(wanted, profile, ends_mm=ends, most_mm=uneven_mm / _MOST_LEVELS)
    return _divided(kept, slopes, profile, even=even, direction=direction)


def _set_apart(heights_mm: Floats, profile: ClearanceProfile, *, ends_mm: Floats, most_mm: float) -> Floats:
    """The ``(m,)`` rising levels without those too near to others, mm; the lowest, the highest and ``(k,)`` ends are kept in any case.

    The least distance is at most the clearance there, as edges would else lose their fillets.
    """

    def apart_mm(heights_mm: Floats) -> Floats:
        return np.clip(profile.at(heights_mm), _MERGE_MM, max(_MERGE_MM, most_mm))

    low, top = heights_mm[[0, -1]].tolist()
    beside = (np.abs(heights_mm[:, None] - ends_mm) < apart_mm(heights_mm)[:, None]).any(axis=1)
    beside &= (heights_mm > low) & (heights_mm < top)
    wanted = np.union1d(heights_mm[~beside], ends_mm)
    kept = [float(wanted[0])]
    for z, least in zip(wanted[1:], apart_mm(wanted)[1:], strict=True):
        if z - kept[-1] >= least or z == top or z in ends_mm:
            kept.append(float(z))
    return np.array(kept)


def _even_stretches(slopes: Slopes, profile: ClearanceProfile, *, top_mm: float) -> Floats:
    """The stretches, taller than `LARGEST_GAP_MM`, along which the grown body is the same: from and to which heights, ``(k, 2)``, mm.

    They lie between everything that changes it: walls that lean, heights hardly further from a layer than the clearance,
    and heights at which the clearance changes.
    """
    reach = profile.greatest_mm + _MERGE_MM
    leaning = np.abs(slopes.strip_leans_deg).max(axis=1) > _UPRIGHT_DEG
    changing = np.concatenate(
        [
            np.column_stack([slopes.layers_mm - reach, slopes.layers_mm + reach]),
            slopes.strips_mm[leaning] + [-reach, reach],
            profile.uneven_mm,
        ]
    )
    changing = changing[np.argsort(changing[:, 0])]
    low, high = np.maximum.accumulate(changing[:, 1]), np.append(changing[1:, 0], top_mm)
    even = np.column_stack([low, np.minimum(high, top_mm)])
    return even[even[:, 1] - even[:, 0] > LARGEST_GAP_MM]


def _inside(low_mm: Floats, high_mm: Floats, stretches_mm: Floats) -> Bools:
    """Whether each of m spans, from a low height to a high one, lies within one of ``(k, 2)`` stretches, ``(m,)``."""
    low, high = stretches_mm.T
    return np.asarray(((low_mm[:, None] >= low) & (high_mm[:, None] <= high)).any(axis=1))


def _fillets(slopes: Slopes, profile: ClearanceProfile, *, within_mm: float) -> Floats:
    """Levels along the fillets of the grown body, mm, at equal angles, so close that chords between them stay within a distance of it."""
    level = slopes.edge_rises < _LEVEL_RISE
    edge = slopes.edges_mm[level].mean(axis=1)
    step = np.sqrt(8 * within_mm / max(profile.greatest_mm, 1e-9))
    angles = np.linspace(-np.pi / 2, np.pi / 2, 2 * max(1, int(np.ceil(np.pi / 2 / step))) + 1)
    near = np.radians(slopes.edge_leans_deg[level]) + np.array([angles[0], angles[-1]]) / (
        (len(angles) - 1) / 2
    )
    which, angle = np.nonzero((angles > near[:, :1]) & (angles < near[:, 1:]))
    return edge[which] - profile.at(edge)[which] * np.sin(angles[angle])


def _divided(
    heights_mm: Floats, slopes: Slopes, profile: ClearanceProfile, *, even: Floats, direction: Floats
) -> Floats:
    """The heights with more between them, so that no wall moves far sideways from one to the next."""
    low, high = slopes.strips_mm.T
    leans = np.radians(slopes.strip_leans_deg)
    low = low - profile.at(low) * np.sin(leans[:, 1])  # where the offset of each strip begins and ends
    high = high - profile.at(high) * np.sin(leans[:, 0])
    steep = np.abs(leans).max(axis=1)
    there = (low < heights_mm[1:, None]) & (high > heights_mm[:-1, None])  # (m - 1, s)
    slope = np.tan(
        np.where(there, np.minimum(steep, np.radians(_STEEPEST_DEG)), 0.0).max(axis=1, initial=0.0)
    )
    gap = np.minimum(LARGEST_GAP_MM, _LARGEST_MOVE_MM / np.maximum(slope, 1e-9))
    aside = float(np.hypot(*direction[:2]) / direction[2])
    swept = max(LARGEST_GAP_MM, _LARGEST_MOVE_MM / max(aside, 1e-9))
    gap = np.where(_inside(heights_mm[:-1], heights_mm[1:], even), swept, gap)
    steps = np.ceil(np.diff(heights_mm) / gap).astype(np.int64)
    return divided(heights_mm, steps)


def check_effort(mesh: TriMesh, *, heights_mm: Floats) -> None:
    """Refuse a body whose levels at ``(m,)`` heights would have too many points.

    Raises
    ------
    PocketError
        If more than 500,000 facets are passed at all heights together.
    """
    crossed = int(crossed_facets(mesh, heights_mm=heights_mm).sum())
    if crossed > MOST_CROSSED:
        raise PocketError(
            f"it would be cut at {len(heights_mm):,} heights from outlines of"
            f" {crossed // len(heights_mm):,} points each, {crossed:,} in all, up to {MOST_CROSSED:,} allowed",
            where="pocket",
            hint=f"{PLAINER}, measure one more section where neighbours differ much, or make the block lower",
        )


def crossed_facets(mesh: TriMesh, *, heights_mm: Floats) -> Floats:
    """How many facets reach from below each of ``(m,)`` heights to above it, ``(m,)``."""
    z = mesh.vertices_mm[mesh.faces, 2]
    begun = np.searchsorted(np.sort(z.min(axis=1)), heights_mm, side="left")
    ended = np.searchsorted(np.sort(z.max(axis=1)), heights_mm, side="right")
    return np.asarray(begun - ended, dtype=np.float64)
