"""A stack of plane regions, each within the next, made into one closed solid.

Between two neighbouring levels the wall is a terrain over what the upper region
has beyond the lower one: triangles whose corners are points of either outline,
each at its own level's height. Where the two outlines share an edge the wall
is upright. So any number of pieces may grow, meet and become one, and the
surface never crosses itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np

from cradle.geometry.arrays import Floats, Ints
from cradle.geometry.mesh import TriMesh
from cradle.geometry.planar import (
    Region,
    Regions,
    on_edges,
    outer_rings,
)
from cradle.geometry.solid import triangles_within
from cradle.geometry.stack import outlook
from cradle.geometry.wall import Wall

_ON_EDGE_MM: Final = 1e-7
"""A point of an outline nearer than this to an edge of the one below lies on it."""


@dataclass(frozen=True, slots=True, eq=False)
class _Level:
    """The outer rings of a level, one after the other.

    ``points (n, 2)`` in mm; ``after (n,)`` is the number of each point's successor on its ring.
    """

    points: Floats
    after: Ints

    @classmethod
    def of(cls, rings: Sequence[Floats]) -> _Level:
        counts = np.array([len(ring) for ring in rings])
        starts = np.cumsum(counts) - counts
        after = np.arange(1, counts.sum() + 1)
        after[starts + counts - 1] = starts
        return cls(np.concatenate(rings), after)


def widening_mesh(heights_mm: Floats, levels: Regions | Sequence[Region]) -> TriMesh:
    """The closed, outward mesh through a stack of regions that widen upwards; holes in them are filled.

    Parameters
    ----------
    heights_mm : (m,) float64
        Rising, m ≥ 2.
    levels : (m,) regions
        None of them empty, each covering the one below but for rounding.
    """
    rings = [outer_rings(level) for level in levels]
    for k in range(len(rings) - 2, -1, -1):
        rings[k] = _with_touching(rings[k], rings[k + 1])
    stack = [_Level.of(own) for own in rings]
    starts = np.cumsum([0, *(len(level.points) for level in stack)])
    level = np.repeat(np.arange(len(stack)), np.diff(starts))
    sloping, upright = [], []
    for k, (lower, upper) in enumerate(pairwise(stack)):
        over, beside = _wall(lower, upper)
        sloping.append(over + starts[k])
        upright.append(beside + starts[k])
    wall = Wall(
        points_mm=np.column_stack([np.concatenate([own.points for own in stack]), heights_mm[level]]),
        outlook=np.concatenate([outlook(ring) for own in rings for ring in own]),
        faces=np.concatenate(sloping),
        level=level,
        slab=np.repeat(np.arange(len(sloping)), [len(part) for part in sloping]),
    )
    ends = (triangles_within(rings[0])[:, ::-1], triangles_within(rings[-1]) + starts[-2])
    return TriMesh.of(wall.points_mm, np.concatenate([*ends, wall.well_shaped().faces, *upright]))


def _with_touching(rings: list[Floats], above: list[Floats]) -> list[Floats]:
    """The rings with those points of the rings above put in that lie on their edges."""
    own = _keys(np.concatenate(rings))
    others = np.concatenate(above)
    fresh = others[~np.isin(_keys(others), own)]
    if not len(fresh):
        return rings
    out = []
    for ring in rings:
        which, edge = on_edges(fresh, ring, within_mm=_ON_EDGE_MM)
        if len(which):
            along = ((fresh[which] - ring[edge]) ** 2).sum(axis=1)
            order = np.lexsort((along, edge))
            ring = np.insert(ring, edge[order] + 1, fresh[which[order]], axis=0)
        out.append(ring)
    return out


def _wall(lower: _Level, upper: _Level) -> tuple[Ints, Ints]:
    """The sloping and the upright faces between two levels, ``(t, 3)``, the upper one's points after the lower one's."""
    n, m = len(lower.points), len(upper.points)
    down = _partner(upper.points, lower.points)  # (m,) the point below that each upper point is, or -1
    up = np.full(n, -1)
    up[down[down >= 0]] = np.flatnonzero(down >= 0)
    follow = down[upper.after]
    shared = (down >= 0) & (follow >= 0)  # upper edges that are edges of the lower level too
    shared[shared] = lower.after[down[shared]] == follow[shared]
    # the gap between the outlines lies to the left of upper edges and of lower edges run backwards
    onward = np.full(n + m, -1)  # for each way out of a point of either level: the next point
    before = np.empty(n, dtype=np.int64)
    before[lower.after] = np.arange(n)
    back = np.where(up >= 0, n + up, np.arange(n))
    onward[n:] = np.where(shared, -1, n + upper.after)
    lone = np.ones(n, dtype=bool)
    lone[down[shared]] = False  # lower edges that the upper level does not have
    onward[:n] = np.where(lone[before], before, -1)
    loops = _loops(onward, back=back, down=down)
    corner = np.concatenate([np.arange(n), np.where(down >= 0, down, np.arange(m) + n)])
    place = np.concatenate([lower.points, upper.points])
    sloping: Ints = np.empty((0, 3), dtype=np.int64)
    if loops:
        order = np.concatenate(loops)
        sloping = corner[order][triangles_within([place[loop] for loop in loops])][:, ::-1]
    u, v = np.arange(m), upper.after
    foot_u, foot_v, top_u, top_v = corner[n + u], corner[n + v], n + u, n + v
    upright = (
        np.column_stack([foot_u, foot_v, top_v])[down[v] >= 0],
        np.column_stack([foot_u, top_v, top_u])[down[u] >= 0],
    )
    return sloping, np.concatenate(upright)


def _loops(onward: Ints, *, back: Ints, down: Ints) -> list[Ints]:
    """The closed curves round what the upper level has beyond the lower one, as numbers of points.

    Ways out along a lower edge, run backwards, are numbered by the lower point,
    ways along an upper edge by ``n`` and the upper point. Where both levels have
    a point, a curve passes from one level to the other.
    """
    n = len(back)
    ways = onward.tolist()
    switch = back.tolist()
    partner = down.tolist()
    done = bytearray(len(ways))
    loops = []
    for first, to in enumerate(ways):
        if to < 0 or done[first]:
            continue
        loop, at = [], first
        while not done[at]:
            done[at] = 1
            loop.append(at)
            end = ways[at]
            # arriving on an upper point that the lower level has: on along the lower level, and the other way round
            at = (partner[end - n] if partner[end - n] >= 0 else end) if end >= n else switch[end]
        loops.append(np.array(loop, dtype=np.int64))
    return loops


def _partner(points: Floats, others: Floats) -> Ints:
    """The number of the same point among others, ``(n,)``; -1 where there is none."""
    keys, known = _keys(points), _keys(others)
    order = np.argsort(known, kind="stable")
    at = np.minimum(np.searchsorted(known[order], keys), len(known) - 1)
    return np.where(known[order][at] == keys, order[at], -1)


def _keys(points: Floats) -> np.ndarray[tuple[int], np.dtype[np.complex128]]:
    return np.ascontiguousarray(points + 0.0).view(np.complex128).ravel()
