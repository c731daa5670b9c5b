"""A stack of plane rings made into one closed solid.

Terms: a *level* is a height with a region; a *slab* is what lies between two
neighbouring levels. A slab between two single rings is *tiled*: its wall is a
band of triangles that uses the points of both rings and no others (Christiansen
& Sederberg, SIGGRAPH 1978, from memory). Where that fails, because a level has
several pieces or the band would cross itself, the slab becomes a *step*: an
upright prism over both levels together, never smaller than the band.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from cradle.geometry.arrays import Floats, Ints
from cradle.geometry.mesh import TriMesh
from cradle.geometry.planar import Region, Regions, are_simple, outer_rings, region, triangulate, union
from cradle.geometry.solid import Solid, extruded, solid
from cradle.geometry.solid import union as solids_union

_OUTLOOK = 10.0
"""How many times the rings' distance a half turn of the outlook counts for: at 10 corners no longer slip."""


def stack_solid(heights_mm: Floats, levels: Regions | Sequence[Region], *, where: str) -> Solid:
    """The solid through a stack of regions; holes in them are filled.

    Parameters
    ----------
    heights_mm : (m,) float64
        Rising.
    levels : (m,) regions
        None of them empty.
    where : str
        Name for messages.

    Raises
    ------
    SolidError
        If the kernel refuses the result.
    """
    rings = [outer_rings(level) for level in levels]
    bands = [_band(low, high) for low, high in pairwise(rings)]
    parts: list[Solid] = []
    start = 0
    for slab in range(len(bands) + 1):
        if slab < len(bands) and bands[slab] is not None:
            continue
        if slab > start:
            run = slice(start, slab + 1)
            mesh = _run_mesh(heights_mm[run], [r[0] for r in rings[run]], bands[start:slab])
            parts.append(solid(mesh, where=where))
        if slab < len(bands):
            both = union([region(ring) for ring in (*rings[slab], *rings[slab + 1])])
            low, high = float(heights_mm[slab]), float(heights_mm[slab + 1])
            parts += [extruded(ring, low_mm=low, high_mm=high, where=where) for ring in outer_rings(both)]
        start = slab + 1
    return solids_union(parts, where=where)


def tile(low: Floats, high: Floats) -> tuple[Ints, Ints]:
    """Pair the points of two counter-clockwise rings, each step moving on one of them.

    Returns
    -------
    i, j : (m + n,) int64
        Indices into ``low`` (m points) and ``high`` (n points): pair k is
        followed by pair k + 1, and the last by the first. Of the two ways to
        go on, the one is taken whose points are nearer and look the same way:
        a corner is paired with a corner even where the rings lie far apart.
    """
    m, n = len(low), len(high)
    apart = (((high[:, None] - low) ** 2).sum(axis=2)).min(axis=1)
    reach = _OUTLOOK * float(np.sqrt(np.median(apart))) + 1e-3
    start = np.column_stack([low, reach * _outlook(low)])
    end = np.column_stack([high, reach * _outlook(high)])
    j0 = int(np.argmin(((end - start[0]) ** 2).sum(axis=1)))
    turned = np.roll(end, -j0, axis=0)
    ax, ay, au, av = np.append(start, start[:1], axis=0).T.tolist()
    bx, by, bu, bv = np.append(turned, turned[:1], axis=0).T.tolist()
    i = j = 0
    first, second = [0] * (m + n), [0] * (m + n)
    for step in range(m + n):
        first[step], second[step] = i, j
        if j == n:
            i += 1
        elif i == m:
            j += 1
        else:
            p, q = i + 1, j + 1
            on_low = (ax[p] - bx[j]) ** 2 + (ay[p] - by[j]) ** 2 + (au[p] - bu[j]) ** 2 + (av[p] - bv[j]) ** 2
            on_high = (
                (ax[i] - bx[q]) ** 2 + (ay[i] - by[q]) ** 2 + (au[i] - bu[q]) ** 2 + (av[i] - bv[q]) ** 2
            )
            if on_low <= on_high:
                i = p
            else:
                j = q
    return np.array(first) % m, (np.array(second) + j0) % n


def _outlook(ring: Floats) -> Floats:
    """Unit vectors that point outward, half way between the normals of both edges, ``(n, 2)``."""
    edge = np.roll(ring, -1, axis=0) - ring
    edge = edge / np.maximum(np.hypot(edge[:, 0], edge[:, 1]), 1e-12)[:, None]
    both = edge + np.roll(edge, 1, axis=0)
    both = both / np.maximum(np.hypot(both[:, 0], both[:, 1]), 1e-12)[:, None]
    return np.column_stack([both[:, 1], -both[:, 0]])


def _band(low: list[Floats], high: list[Floats]) -> tuple[Ints, Ints] | None:
    """The tiling between two levels, or None where it cannot be had without crossing itself."""
    if len(low) != 1 or len(high) != 1:
        return None
    i, j = tile(low[0], high[0])
    middle = 0.5 * (low[0][i] + high[0][j])
    moves = np.abs(middle - np.roll(middle, 1, axis=0)).max(axis=1) > 0
    return (i, j) if are_simple([middle[moves]])[0] else None


def _run_mesh(heights_mm: Floats, rings: list[Floats], bands: Sequence[tuple[Ints, Ints] | None]) -> TriMesh:
    """One closed mesh from rings whose slabs are all tiled."""
    starts = np.concatenate([[0], np.cumsum([len(ring) for ring in rings])])
    vertices = np.concatenate(
        [np.column_stack([r, np.full(len(r), z)]) for r, z in zip(rings, heights_mm, strict=True)]
    )
    faces = [triangulate(rings[0])[:, ::-1], triangulate(rings[-1]) + starts[-2]]
    for level, band in enumerate(bands):
        if band is None:
            continue
        a, b = band[0] + starts[level], band[1] + starts[level + 1]
        a_next, b_next = np.roll(a, -1), np.roll(b, -1)
        third = np.where(a_next != a, a_next, b_next)  # (m + n,) the point that the step moves on to
        faces.append(np.column_stack([a, third, b]))
    return TriMesh.of(vertices, np.concatenate(faces))
