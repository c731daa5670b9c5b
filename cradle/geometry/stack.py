"""A stack of plane rings made into one closed solid.

Terms: a *level* is a height with a region; a *slab* is what lies between two
neighbouring levels. A slab between two single rings is *tiled*: its wall is a
band of triangles that uses the points of both rings and no others (Christiansen
& Sederberg, SIGGRAPH 1978, from memory). Where that fails, because a level has
several pieces or the band would cross itself or fold over, the slab becomes a
*step*: an upright prism over both levels together, never smaller than the band.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import field

import numpy as np

from cradle.geometry.arrays import Bools, Floats, Ints, following, preceding
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
from cradle.geometry.solid import Solid, extruded, neighbours_joined, solid
from cradle.geometry.vectors import cross
from cradle.noun import noun

_SPECK_MM = 0.2
"""A corner shorter than this does not change which way a ring looks."""
_SLIP_MM = 0.002
"""A band that loses more than this, all round, has paired the wrong points."""
_FOLD_MM2 = 0.3
"""A wall that folds over by more, seen from above, is printed on air there, or crosses itself."""
_FOLD_MM = 0.2
"""Narrower folds are teeth at corners, and what thinning the levels leaves."""
_SAMPLES = 24
"""So many points of a ring tell how far it lies from the one below."""
_OUTLOOK_DECIMALS = 8
"""Rings that are alike look the same way, wherever they stand in the list."""
_FAR_MM = 1e100
"""Coordinate of the stop after each ring: so far off that no way goes on to it."""
_OUTLOOK = 10.0
"""Weight of the way points look against how far they lie apart, in rings' distances, when paired: at 10 corners meet."""


def stack_solid(
    heights_mm: Floats,
    levels: Regions | Sequence[Region],
    *,
    upright: Bools | None = None,
    joining: Joining | None = None,
    where: str = "",
) -> Solid:
    """The solid through a stack of regions; holes in them are filled.

    Parameters
    ----------
    heights_mm : (m,) float64
        Rising.
    levels : (m,) regions
        None of them empty.
    upright : (m - 1,) bool, optional
        Slabs that are to be steps, though they might be tiled.
    joining : Joining, optional
        How its levels are joined; as those of a stack that goes straight up otherwise.
    where : str
        Name for messages.

    Raises
    ------
    SolidError
        If the kernel refuses the result.
    """
    joining = joining or Joining()
    walls = joining.walls(levels[:-1], levels[1:], rises_mm=np.diff(heights_mm))
    rings, bands = [*walls.lows, walls.highs[-1]], list(walls.bands)
    for slab in np.flatnonzero(upright).tolist() if upright is not None else ():
        bands[slab] = None
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
    return neighbours_joined(parts, where=where)


@noun
class Walls:
    """The walls that join ``(m,)`` lower regions to upper ones, as `stack_solid` makes them."""

    lows: Sequence[list[Floats]]
    highs: Sequence[list[Floats]]
    bands: Sequence[tuple[Ints, Ints] | None]

    @property
    def steps(self) -> Bools:
        """Which of them are upright, as no band joins their levels, ``(m,)``."""
        return np.array([band is None for band in self.bands], dtype=bool)

    def some(self, which: Ints) -> Walls:
        """Those with the given numbers."""
        lows, highs, bands = ([of[k] for k in which.tolist()] for of in (self.lows, self.highs, self.bands))
        return Walls(lows=lows, highs=highs, bands=bands)

    def moves(self) -> list[tuple[Floats, Floats]]:
        """Where facets begin on the lower ring of each wall, and how far each leads aside, ``(n, 2)``, mm; without steps."""
        found = []
        for low, high, band in zip(self.lows, self.highs, self.bands, strict=True):
            if band is not None:
                start = low[0][band[0]]
                found.append((start, high[0][band[1]] - start))
        return found

    def sections(self, share: float) -> Regions:
        """Their plane sections so far up, 0 to 1 of the way, ``(m,)`` regions."""
        found: Regions = np.empty(len(self.bands), dtype=object)
        for k, (low, high, band) in enumerate(zip(self.lows, self.highs, self.bands, strict=True)):
            if band is None:
                found[k] = _both(low, high)
            else:
                i, j = band
                found[k] = region((1 - share) * low[0][i] + share * high[0][j])
        return found


@noun
class Joining:
    """What joins levels one above the other; the same two are joined once, however often they are asked for.

    Attributes
    ----------
    aside : (2,) float64 or None
        If given, levels are those of an opened stack: each holds all of the one below, moved aside by so many mm for each
        mm up. None of others is known.
    """

    aside: Floats | None = None
    _rings: dict[int, tuple[Region, list[Floats]]] = field(default_factory=dict, repr=False)
    _bands: dict[tuple[int, int, float], tuple[Ints, Ints] | None] = field(default_factory=dict, repr=False)

    def walls(
        self, lows: Regions | Sequence[Region], highs: Regions | Sequence[Region], *, rises_mm: Floats
    ) -> Walls:
        """The walls that join each of ``(m,)`` regions, none of them empty, to another one so far above it."""
        pairs = [
            (id(low), id(high), rise) for low, high, rise in zip(lows, highs, rises_mm.tolist(), strict=True)
        ]
        for area in (*lows, *highs):
            if id(area) not in self._rings:
                self._rings[id(area)] = area, outer_rings(area)  # which keeps it, and so its id
        low, high = ([self._rings[pair[end]][1] for pair in pairs] for end in (0, 1))
        new = [k for k, pair in enumerate(pairs) if pair not in self._bands]
        moves_mm = np.outer(rises_mm[new], np.zeros(2) if self.aside is None else self.aside)
        made = _bands([low[k] for k in new], [high[k] for k in new], moves_mm=moves_mm)
        if self.aside is not None:
            made = [
                band if band is None or _folded_mm2(low[k][0], high[k][0] - move, band) < _FOLD_MM2 else None
                for k, band, move in zip(new, made, moves_mm, strict=True)
            ]
        self._bands.update(zip((pairs[k] for k in new), made, strict=True))
        return Walls(lows=low, highs=high, bands=[self._bands[pair] for pair in pairs])


def _both(low: list[Floats], high: list[Floats]) -> Region:
    """What a slab that is not tiled covers."""
    return union([region(ring) for ring in (*low, *high)])


def tilings(lows: Sequence[Floats], highs: Sequence[Floats], *, moves_mm: Floats) -> list[tuple[Ints, Ints]]:
    """Pair the points of many lower rings with those of the rings above, each step moving on one of them.

    All pairs of rings go forward together, one step at a time.

    Parameters
    ----------
    lows, highs : (r,) rings
    moves_mm : (r, 2) float64
        How far parts of each lower ring may have moved, while others stay: a point is as near to one of the upper ring
        as any place that it comes by.

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
    outlooks = zip(_outlooks(lows), _outlooks(highs), strict=True)
    for low, high, move, (low_out, high_out) in zip(lows, highs, moves_mm, outlooks, strict=True):
        sample = high[:: max(1, len(high) // _SAMPLES)]
        away = _unmoved(low.T[:, None] - sample.T[:, :, None], move)
        apart = (away**2).sum(axis=0).min(axis=1)
        reach = _OUTLOOK * float(np.sqrt(np.median(apart))) + 1e-3
        a = np.column_stack([low, reach * low_out])
        b = np.column_stack([high, reach * high_out])
        first = int(np.argmin((_unmoved((a[0] - b).T, move) ** 2).sum(axis=0)))
        turned.append(first)
        low_steps.append(a)
        high_steps.append(np.concatenate([b[first:], b[:first]]))
    path = _ways_round(low_steps, high_steps, moves_mm=moves_mm)
    return [
        (way[0] % len(low), (way[1] + first) % len(high))
        for way, low, high, first in zip(path, lows, highs, turned, strict=True)
    ]


def _unmoved(away_mm: Floats, move_mm: Floats) -> Floats:
    """Ways from upper points to lower ones, ``(2 or more, ...)``, each lower point slid along the move to where it is nearest.

    The first two coordinates are x and y; the given ways are changed.
    """
    if not move_mm.any():
        return away_mm
    length = np.hypot(*move_mm)
    x, y = move_mm / np.where(length > 0, length, 1.0)
    along = np.clip(-(x * away_mm[0] + y * away_mm[1]), 0.0, length)
    away_mm[0] += along * x
    away_mm[1] += along * y
    return away_mm


def _ways_round(lows: Sequence[Floats], highs: Sequence[Floats], *, moves_mm: Floats) -> list[Ints]:
    """For each pair of rings, ``(m, 4)`` and ``(n, 4)``, the way once round both from their first points, ``(2, m + n)``.

    Every step moves on where the next point is nearer to the one where the other ring stands.
    """
    (a, first_low), (b, first_high) = _end_to_end(lows), _end_to_end(highs)
    points = np.concatenate([a, b], axis=1)
    first_high = first_high + a.shape[1]
    # of each pair of rings: the next point below, where the upper one stands, where the lower one stands, the next above
    at = np.stack([first_low + 1, first_high, first_low, first_high + 1])  # (4, k) int
    counts = [len(low) + len(high) for low, high in zip(lows, highs, strict=True)]
    path = np.zeros((max(counts), len(lows)), dtype=np.int64)  # where the lower ring stands at each step
    for step in path:
        step[:] = at[2]
        seen = points.take(at, axis=1, mode="clip")  # pairs that are round already go on, to no end
        apart = seen[:, ::2] - seen[:, 1::2]
        apart = _unmoved(apart, moves_mm.T)
        apart *= apart
        below, above = np.add.reduce(apart, axis=0)
        on_low = below <= above
        at[::2] += on_low
        at[1::2] += ~on_low
    path -= first_low
    steps = np.arange(len(path))
    return [np.stack([path[:n, k], steps[:n] - path[:n, k]]) for k, n in enumerate(counts)]


def _end_to_end(rings: Sequence[Floats]) -> tuple[Floats, Ints]:
    """Rings one after the other, each closed by its first point and a stop far away, ``(4, p)``, and where each begins."""
    counts = np.array([len(ring) + 2 for ring in rings])
    stop = np.full((1, 4), _FAR_MM)
    closed = np.concatenate([part for ring in rings for part in (ring, ring[:1], stop)])
    return np.ascontiguousarray(closed.T), np.cumsum(counts) - counts


def _outlooks(rings: Sequence[Floats]) -> list[Floats]:
    """Unit vectors that point outward from each point of each ring, ``(n, 2)``, little specks smoothed away."""
    counts = np.array([len(ring) for ring in rings])
    lengths = [arc_positions(ring) for ring in rings]
    around = np.repeat([length[-1] for length in lengths], counts)
    # all rings on one line, one after the other, so that one look-up serves them all
    ends = np.cumsum([length[-1] + 1.0 for length in lengths])
    begin = np.concatenate([[0.0], ends[:-1]])
    line = np.concatenate([length + start for length, start in zip(lengths, begin, strict=True)])
    points = np.concatenate([part for ring in rings for part in (ring, ring[:1])])
    here, begin = np.concatenate([length[:-1] for length in lengths]), np.repeat(begin, counts)

    def at(shift_mm: float) -> Floats:
        wanted = begin + (here + shift_mm) % around
        return np.column_stack([np.interp(wanted, line, points[:, axis]) for axis in (0, 1)])

    chord = at(_SPECK_MM) - at(-_SPECK_MM)
    chord = chord / np.maximum(np.hypot(chord[:, 0], chord[:, 1]), 1e-12)[:, None]
    outward = np.round(np.column_stack([chord[:, 1], -chord[:, 0]]), _OUTLOOK_DECIMALS)
    return np.split(outward, np.cumsum(counts)[:-1])


def _bands(
    lows: Sequence[list[Floats]], highs: Sequence[list[Floats]], *, moves_mm: Floats
) -> list[tuple[Ints, Ints] | None]:
    """The tiling of every slab, see `tilings`; None where half way up it crosses itself or loses what both levels share."""
    found: list[tuple[Ints, Ints] | None] = [None] * len(lows)
    slabs = []
    for k, (low, high) in enumerate(zip(lows, highs, strict=True)):
        if len(low) == len(high) == 1:
            if np.array_equal(low[0], high[0]):
                steps = np.arange(2 * len(low[0]))
                found[k] = (steps + 1) // 2 % len(low[0]), steps // 2
            else:
                slabs.append(k)
    pairs = tilings([lows[k][0] for k in slabs], [highs[k][0] for k in slabs], moves_mm=moves_mm[slabs])
    middles = []
    for k, (i, j) in zip(slabs, pairs, strict=True):
        middle = 0.5 * (lows[k][0][i] + highs[k][0][j])
        moves = np.abs(middle - preceding(middle)).max(axis=1) > 0
        middles.append(middle[moves])
    sound = np.flatnonzero(are_simple(middles))
    between = [(lows[slabs[place]][0], highs[slabs[place]][0], middles[place]) for place in sound]
    for place, lost in zip(sound.tolist(), _lost(between), strict=True):
        if not lost:
            found[slabs[place]] = pairs[place]
    return found


def _lost(between: Sequence[tuple[Floats, Floats, Floats]]) -> Bools:
    """Whether the ring half way up misses part of what the lower and the upper one have in common, for many such triples.

    Where its area is about what scaling one outline into the other would give, it misses nothing.
    """
    if not between:
        return np.zeros(0, dtype=bool)
    low, high, middle = (regions(rings) for rings in zip(*between, strict=True))
    slip = _SLIP_MM * perimeter_mm(low)
    lost = area_mm2(middle) < like_half_way_mm2(low, high) - slip / 2
    lost[lost] = area_mm2(without(common(low[lost], high[lost]), middle[lost])) > slip[lost]
    return np.asarray(lost)


def _folded_mm2(low: Floats, high: Floats, band: tuple[Ints, Ints]) -> float:
    """How much of a wall from a ring up to one that holds it leans inwards, seen from above, mm²: there it folds over."""
    start, on, up = np.concatenate([low, high])[_facets(band[0], band[1] + len(low)).T]
    on, up = on - start, up - start
    twice = cross(on, up)
    longest = np.sqrt(np.maximum((on**2).sum(axis=1), (up**2).sum(axis=1)))
    return float(twice[twice > _FOLD_MM * longest].sum()) / 2


def _facets(low: Ints, high: Ints) -> Ints:
    """The triangles of a band whose steps are pairs of points, by their numbers, ``(m + n, 3)``: each with the point that it moves on to."""
    next_low, next_high = following(low), following(high)
    return np.column_stack([low, np.where(next_low != low, next_low, next_high), high])


def like_half_way_mm2(lows: Regions, highs: Regions) -> Floats:
    """The area half way between two regions one above the other if they are like each other, one drawn larger, ``(m,)``, mm²."""
    return np.asarray((np.sqrt(area_mm2(lows)) + np.sqrt(area_mm2(highs))) ** 2 / 4)


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
        faces.append(_facets(band[0] + starts[level], band[1] + starts[level + 1]))
    return TriMesh.of(vertices, np.concatenate(faces))
