"""A stack of plane rings made into one closed solid.

Terms: a *level* is a height with a region; a *slab* is what lies between two
neighbouring levels. A slab between two single rings is *tiled*: its wall is a
band of triangles (`tiling`). Where that fails, because a level has several
pieces or the band would cross itself or fold over, the slab becomes a *step*:
an upright prism over both levels together, never smaller than the band.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import field
from itertools import groupby, pairwise

import numpy as np

from cradle.geometry.arrays import Bools, Floats, Ints, preceding
from cradle.geometry.mesh import TriMesh
from cradle.geometry.planar import (
    Region,
    Regions,
    common,
    outer_rings,
    region,
    regions,
    triangulate,
    union,
    without,
)
from cradle.geometry.region_measures import are_simple, area_mm2, perimeter_mm
from cradle.geometry.solid import Solid, extruded, neighbours_joined, solid
from cradle.geometry.tiling import Band, facets, tilings
from cradle.geometry.vectors import cross
from cradle.noun import noun

_SLIP_MM = 0.002
"""A band that half way up loses more than a strip of this width, as long as its ring, has paired the wrong points."""
_FOLD_MM2 = 0.3
"""A wall that folds over by more than this, seen from above, is printed on air there, or crosses itself."""
_FOLD_MM = 0.2
"""Folds narrower than this do not count: they are teeth at corners, and left from thinning the levels."""


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
        What joins its levels; by itself one that knows nothing of how they lie to each other.

    Raises
    ------
    SolidError
        If the kernel refuses the result.
    """
    walls = (joining or Joining()).walls(levels[:-1], levels[1:], rises_mm=np.diff(heights_mm))
    rings, bands = [*walls.lows, walls.highs[-1]], list(walls.bands)
    for slab in np.flatnonzero(upright).tolist() if upright is not None else ():
        bands[slab] = None
    parts: list[Solid] = []
    for are_tiled, run in groupby(range(len(bands)), key=lambda slab: bands[slab] is not None):
        slabs = list(run)
        own = slice(slabs[0], slabs[-1] + 2)
        if are_tiled:
            tiled = [band for slab in slabs if (band := bands[slab]) is not None]
            mesh = _tiled(heights_mm[own], [ring for (ring,) in rings[own]], tiled)
            parts.append(solid(mesh, where=where))
        else:
            parts += _steps(heights_mm[own], rings[own], where=where)
    return neighbours_joined(parts, where=where)


@noun
class Walls:
    """The walls that join ``(m,)`` lower regions to upper ones, as `stack_solid` makes them."""

    lows: Sequence[list[Floats]]
    highs: Sequence[list[Floats]]
    bands: Sequence[Band | None]

    @property
    def steps(self) -> Bools:
        """Which of the walls are upright, as no band joins their levels, ``(m,)``."""
        return np.array([band is None for band in self.bands], dtype=bool)

    def some(self, which: Ints) -> Walls:
        """The walls with the given numbers."""
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
        """The plane sections of the walls at a share of the way up, 0 to 1, ``(m,)`` regions."""
        found: Regions = np.empty(len(self.bands), dtype=object)
        for k, (low, high, band) in enumerate(zip(self.lows, self.highs, self.bands, strict=True)):
            if band is None:
                found[k] = _both(low, high)
            else:
                i, j = band
                found[k] = region((1 - share) * low[0][i] + share * high[0][j])
        return found


@noun
class _Level:
    """The outer rings of a region, kept once: telling two regions apart takes long."""

    rings: list[Floats]


@noun
class Joining:
    """What joins levels one above the other; the same two are joined once, however often they are asked for.

    Attributes
    ----------
    aside : (2,) float64 or None
        If given, levels are those of an opened stack: each contains all of the one below, moved aside by this many mm for
        each mm up. None if nothing like that is known of them.
    """

    aside: Floats | None = None
    _levels: dict[Region, _Level] = field(default_factory=dict, repr=False)
    _bands: dict[tuple[_Level, _Level, float], Band | None] = field(default_factory=dict, repr=False)

    def walls(
        self, lows: Regions | Sequence[Region], highs: Regions | Sequence[Region], *, rises_mm: Floats
    ) -> Walls:
        """The walls that join each of ``(m,)`` regions, none of them empty, to the one that lies ``rises_mm`` above it."""
        below, above = ([self._level(area) for area in areas] for areas in (lows, highs))
        pairs = list(zip(below, above, rises_mm.tolist(), strict=True))
        low, high = [level.rings for level in below], [level.rings for level in above]
        unknown = [k for k, pair in enumerate(pairs) if pair not in self._bands]
        moves_mm = np.outer(rises_mm[unknown], np.zeros(2) if self.aside is None else self.aside)
        bands = _bands([low[k] for k in unknown], [high[k] for k in unknown], moves_mm=moves_mm)
        if self.aside is not None:
            bands = [
                band if band is None or _folded_mm2(low[k][0], high[k][0] - move, band) < _FOLD_MM2 else None
                for k, band, move in zip(unknown, bands, moves_mm, strict=True)
            ]
        self._bands.update(zip((pairs[k] for k in unknown), bands, strict=True))
        return Walls(lows=low, highs=high, bands=[self._bands[pair] for pair in pairs])

    def _level(self, area: Region) -> _Level:
        level = self._levels.get(area)
        if level is None:
            level = self._levels[area] = _Level(rings=outer_rings(area))
        return level


def _steps(heights_mm: Floats, rings: Sequence[list[Floats]], *, where: str) -> Iterator[Solid]:
    """Upright prisms over each two neighbouring levels together."""
    for (low_mm, high_mm), (low, high) in zip(pairwise(heights_mm.tolist()), pairwise(rings), strict=True):
        for ring in outer_rings(_both(low, high)):
            yield extruded(ring, low_mm=low_mm, high_mm=high_mm, where=where)


def _both(low: list[Floats], high: list[Floats]) -> Region:
    """The region that a step covers."""
    return union([region(ring) for ring in (*low, *high)])


def _bands(
    lows: Sequence[list[Floats]], highs: Sequence[list[Floats]], *, moves_mm: Floats
) -> list[Band | None]:
    """The tiling of every slab, see `tilings`; None where half way up it crosses itself or loses what both levels share."""
    bands: list[Band | None] = [None] * len(lows)
    unlike = []
    for slab, (low, high) in enumerate(zip(lows, highs, strict=True)):
        if len(low) == len(high) == 1:
            if np.array_equal(low[0], high[0]):
                steps = np.arange(2 * len(low[0]))
                bands[slab] = (steps + 1) // 2 % len(low[0]), steps // 2
            else:
                unlike.append(slab)
    lower, upper = [lows[slab][0] for slab in unlike], [highs[slab][0] for slab in unlike]
    tiled = tilings(lower, upper, moves_mm=moves_mm[unlike])
    half_way = [_half_way(*ends) for ends in zip(lower, upper, tiled, strict=True)]
    sound = np.flatnonzero(are_simple(half_way))
    for k in sound[~_lost([(lower[k], upper[k], half_way[k]) for k in sound])].tolist():
        bands[unlike[k]] = tiled[k]
    return bands


def _half_way(low: Floats, high: Floats, band: Band) -> Floats:
    """The ring half way up a band, without repeated points."""
    i, j = band
    ring = 0.5 * (low[i] + high[j])
    return np.asarray(ring[np.abs(ring - preceding(ring)).max(axis=1) > 0])


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


def _folded_mm2(low: Floats, high: Floats, band: Band) -> float:
    """How much of a wall, from a ring up to one that contains it, leans inwards, seen from above, mm²: there it folds over."""
    start, on, up = np.concatenate([low, high])[facets((band[0], band[1] + len(low))).T]
    on, up = on - start, up - start
    twice = cross(on, up)
    longest = np.sqrt(np.maximum((on**2).sum(axis=1), (up**2).sum(axis=1)))
    return float(twice[twice > _FOLD_MM * longest].sum()) / 2


def like_half_way_mm2(lows: Regions, highs: Regions) -> Floats:
    """The area half way between two regions one above the other if they are like each other, one drawn larger, ``(m,)``, mm²."""
    return np.asarray((np.sqrt(area_mm2(lows)) + np.sqrt(area_mm2(highs))) ** 2 / 4)


def _tiled(heights_mm: Floats, rings: list[Floats], bands: Sequence[Band]) -> TriMesh:
    """One closed mesh from rings with a band between each two of them."""
    starts = np.concatenate([[0], np.cumsum([len(ring) for ring in rings])])
    vertices = np.concatenate(
        [np.column_stack([r, np.full(len(r), z)]) for r, z in zip(rings, heights_mm, strict=True)]
    )
    ends = [triangulate(rings[0])[:, ::-1], triangulate(rings[-1]) + starts[-2]]
    sides = [
        facets((low + starts[level], high + starts[level + 1])) for level, (low, high) in enumerate(bands)
    ]
    return TriMesh.of(vertices, np.concatenate([*ends, *sides]))
