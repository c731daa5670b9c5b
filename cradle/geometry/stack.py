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
from dataclasses import dataclass

import numpy as np

from cradle.geometry.arrays import Bools, Floats, Ints
from cradle.geometry.mesh import TriMesh
from cradle.geometry.planar import (
    Region,
    Regions,
    are_simple,
    area_mm2,
    common,
    outer_rings,
    perimeter_mm,
    region,
    regions,
    triangulate,
    union,
    without,
)
from cradle.geometry.ring import arc_positions
from cradle.geometry.solid import Solid, extruded, solid
from cradle.geometry.solid import union as solids_union

_SPECK_MM = 0.2
"""A corner shorter than this does not change which way a ring looks."""
_SLIP_MM = 0.002
"""A band that loses more than this, all round, has paired the wrong points."""
_SAMPLES = 24
"""So many points of a ring tell how far it lies from the one below."""
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
    bands = [band if band is None else band.pairs for band in _bands(rings[:-1], rings[1:])]
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
            both = _both(rings[slab], rings[slab + 1])
            low, high = float(heights_mm[slab]), float(heights_mm[slab + 1])
            parts += [extruded(ring, low_mm=low, high_mm=high, where=where) for ring in outer_rings(both)]
        start = slab + 1
    return solids_union(parts, where=where)


def halfway(lows: Regions, highs: Regions) -> Regions:
    """The plane section half way up of the solid through each of two regions one above the other, ``(m,)``.

    Parameters
    ----------
    lows, highs : (m,) regions
        None of them empty.
    """
    low, high = ([outer_rings(area) for area in areas] for areas in (lows, highs))
    bands = _bands(low, high)
    sections: Regions = np.empty(len(bands), dtype=object)
    for k, band in enumerate(bands):
        sections[k] = _both(low[k], high[k]) if band is None else region(band.middle)
    return sections


def _both(low: list[Floats], high: list[Floats]) -> Region:
    """What a slab that is not tiled covers."""
    return union([region(ring) for ring in (*low, *high)])


def tilings(lows: Sequence[Floats], highs: Sequence[Floats]) -> list[tuple[Ints, Ints]]:
    """Pair the points of many lower rings with those of the rings above, each step moving on one of them.

    All pairs of rings go forward together, one step at a time.

    Returns
    -------
    list of (i, j), each (m + n,) int64
        Indices into a lower ring (m points) and its upper one (n points):
        pair k is followed by pair k + 1, and the last by the first. Of the two
        ways to go on, the one is taken whose points are nearer and look the
        same way: a corner is paired with a corner even where the rings lie far
        apart.
    """
    if not lows:
        return []
    low_steps, high_steps, turned = [], [], []
    for low, high in zip(lows, highs, strict=True):
        sample = high[:: max(1, len(high) // _SAMPLES)]
        apart = ((sample[:, None] - low) ** 2).sum(axis=2).min(axis=1)
        reach = _OUTLOOK * float(np.sqrt(np.median(apart))) + 1e-3
        a = np.column_stack([low, reach * _outlook(low)])
        b = np.column_stack([high, reach * _outlook(high)])
        first = int(np.argmin(((b - a[0]) ** 2).sum(axis=1)))
        turned.append(first)
        low_steps.append(a)
        high_steps.append(np.roll(b, -first, axis=0))
    lane = np.arange(len(lows))
    m, n = np.array([len(ring) for ring in lows]), np.array([len(ring) for ring in highs])
    a, b = _padded(low_steps), _padded(high_steps)
    i, j = np.zeros_like(lane), np.zeros_like(lane)
    path = np.zeros((int((m + n).max()), 2, len(lane)), dtype=np.int64)
    for step in range(len(path)):
        path[step, 0], path[step, 1] = i, j
        here_low, here_high = a[lane, i], b[lane, j]
        on_low = ((a[lane, np.minimum(i + 1, m)] - here_high) ** 2).sum(axis=1)
        on_high = ((here_low - b[lane, np.minimum(j + 1, n)]) ** 2).sum(axis=1)
        up = ((on_low <= on_high) | (j >= n)) & (i < m)
        i, j = i + up, j + (~up & (j < n))
    return [
        (path[: m[k] + n[k], 0, k] % m[k], (path[: m[k] + n[k], 1, k] + turned[k]) % n[k])
        for k in lane.tolist()
    ]


def _padded(rings: list[Floats]) -> Floats:
    """Rings in one array, each closed by its first point, ``(s, longest + 1, 4)``."""
    longest = max(len(ring) for ring in rings) + 1
    array = np.zeros((len(rings), longest, 4))
    for row, ring in zip(array, rings, strict=True):
        row[: len(ring)] = ring
        row[len(ring)] = ring[0]
    return array


def _outlook(ring: Floats) -> Floats:
    """Unit vectors that point outward from each point, ``(n, 2)``, little specks smoothed away."""
    positions = arc_positions(ring)
    closed = np.concatenate([ring, ring[:1]])

    def at(shift_mm: float) -> Floats:
        wanted = (positions[:-1] + shift_mm) % positions[-1]
        return np.column_stack([np.interp(wanted, positions, closed[:, axis]) for axis in (0, 1)])

    chord = at(_SPECK_MM) - at(-_SPECK_MM)
    chord = chord / np.maximum(np.hypot(chord[:, 0], chord[:, 1]), 1e-12)[:, None]
    return np.column_stack([chord[:, 1], -chord[:, 0]])


@dataclass(frozen=True, slots=True, eq=False)
class _Band:
    """The tiling of a slab, see `tilings`, and the ring half way up it, ``(n, 2)`` mm."""

    pairs: tuple[Ints, Ints]
    middle: Floats


def _bands(lows: Sequence[list[Floats]], highs: Sequence[list[Floats]]) -> list[_Band | None]:
    """The tiling of every slab, None where half way up it crosses itself or loses what both levels share."""
    found: list[_Band | None] = [None] * len(lows)
    slabs = []
    for k, (low, high) in enumerate(zip(lows, highs, strict=True)):
        if len(low) == len(high) == 1:
            if np.array_equal(low[0], high[0]):
                steps = np.arange(2 * len(low[0]))
                found[k] = _Band(((steps + 1) // 2 % len(low[0]), steps // 2), low[0])
            else:
                slabs.append(k)
    pairs = tilings([lows[k][0] for k in slabs], [highs[k][0] for k in slabs])
    middles = []
    for k, (i, j) in zip(slabs, pairs, strict=True):
        middle = 0.5 * (lows[k][0][i] + highs[k][0][j])
        moves = np.abs(middle - np.roll(middle, 1, axis=0)).max(axis=1) > 0
        middles.append(middle[moves])
    sound = np.flatnonzero(are_simple(middles))
    between = [(lows[slabs[place]][0], highs[slabs[place]][0], middles[place]) for place in sound]
    for place, lost in zip(sound.tolist(), _lost(between), strict=True):
        if not lost:
            found[slabs[place]] = _Band(pairs[place], middles[place])
    return found


def _lost(between: Sequence[tuple[Floats, Floats, Floats]]) -> Bools:
    """Whether the ring half way up loses what both the lower and the upper one have, for many such triples.

    Where its area is about that of two like outlines, one drawn larger, it has lost nothing.
    """
    if not between:
        return np.zeros(0, dtype=bool)
    low, high, middle = (regions(rings) for rings in zip(*between, strict=True))
    slip = _SLIP_MM * perimeter_mm(low)
    like = (np.sqrt(area_mm2(low)) + np.sqrt(area_mm2(high))) ** 2 / 4
    lost = area_mm2(middle) < like - slip / 2
    lost[lost] = area_mm2(without(common(low[lost], high[lost]), middle[lost])) > slip[lost]
    return np.asarray(lost)


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
