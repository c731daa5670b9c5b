"""Levels: outlines between two sections that differ so much that their columns cross.

Where columns cross the skin would cross itself, so it is led over *levels*
instead: simple outlines at heights between the two sections, as many as it takes
for each to be joined to the next by nearest points. There are two ways to make
them. The first that works is taken:

1. The ring of the columns at that height, without the loops in which it crosses
   itself, its jags rounded. It works where loops are a small part of the ring and
   the levels can be joined by straight lines.
2. The blend of both sections by their signed distances (`blend`).

The shape there is a guess all the same, so no level has more points than that
deserves.

Measured on level outlines of 44 scanned household things with three true
sections each (heights as a person would cut, 235 levels between them), the
distance of true levels from the lofted ones, in the median and in 90 of 100 of
the outline (medians over the levels): rings 0.12 and 0.40 mm; blends laid over
one another by their moments 0.18 and 0.59 mm, brought to extents that run
smoothly through all sections 0.14 and 0.47 mm, to the true extents 0.11 and
0.35 mm, as rings are (0.11 and 0.40). At the 20 levels where columns cross:
rings less their loops 0.26 mm in the median, blends brought to smooth extents
0.41 mm.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import pairwise

import numpy as np

from cradle.geometry import planar, region_measures
from cradle.geometry import ring as plane
from cradle.geometry.arrays import Floats, preceding
from cradle.geometry.solid import wound_rings
from cradle.loft.blend import blend
from cradle.loft.pairing import paired_columns, pairings
from cradle.noun import noun

Outlines = Callable[[float], Floats]
"""The outline ``(n, 2)``, mm, at a height, mm."""

_LOOPS = 0.03
"""Rings whose loops are more than this part of their area make no levels."""
_LOOKED_AT = (0.125, 0.25, 0.375, 0.5, 0.625, 0.75, 0.875)
"""Parts of the way up at which loops are looked for."""
_CRUMPLED = 0.25
"""Columns may go *astray*, too far from the outline half way up, in up to this part of the gaps between levels; else the other way is tried."""
_STEPPED = 0.1
"""The same if columns cross in one of these gaps: each in which they do becomes a step, and a few are allowed.

A scanned thing cut at three heights, whose columns crossed in one of 23 gaps, needs
3.8 mm of clearance blended all the way up, 1.8 mm with a step there.
"""
_AWAY_MM = 0.1
"""How far the skin may leave the outline half way between two levels: what lies there is a guess."""
_AWAY = 0.004
"""The same as part of the outline's size; the larger counts."""
_FIRST, _LAST = 2, 6
"""How many times the gap is halved, at least and at most."""
_SIMPLER_MM = 0.1
"""How far a level's outline may be simplified: it leaves the thing by more than twice that in the median."""
_SAMPLES = 128
"""Points at which the skin half way between two levels is looked at."""
_NEAREST_MM = 0.25
"""Levels lie no nearer to one another than this."""


@noun
class Levels:
    """Simple outlines between two sections, rising.

    Attributes
    ----------
    heights_mm : tuple of l float
        Strictly between the two sections.
    parts : tuple of l float
        How far the form has gone from the lower section to the upper one, 0 to 1.
    columns_mm : tuple of l + 1 (2, n_i, 2) float64
        Each outline and the next, counter-clockwise, with a point each in every column; the lower section first and the
        upper last.
    astray : float
        Part of the gaps between levels in which straight columns leave the outline half way up by more than they may.
    crossing : bool
        Whether they cross in some of these.
    """

    heights_mm: tuple[float, ...]
    parts: tuple[float, ...]
    columns_mm: tuple[Floats, ...]
    astray: float
    crossing: bool


def levels_between(
    lower: Floats, upper: Floats, *, low_mm: float, high_mm: float, rings_at: Outlines, extents_at: Outlines
) -> Levels:
    """The levels between two simple counter-clockwise outlines, ``(n, 2)`` and ``(m, 2)`` mm.

    Parameters
    ----------
    lower, upper : (n, 2), (m, 2) float64
    low_mm, high_mm : float
        Their heights.
    rings_at : callable
        From a height to the columns' ring there, which may cross itself.
    extents_at : callable
        From a height to the least and greatest x and y there, ``(2, 2)`` mm, that a blend is brought to.
    """
    found: list[Levels] = []
    for inner in _ways(
        lower, upper, low_mm=low_mm, high_mm=high_mm, rings_at=rings_at, extents_at=extents_at
    ):
        found.append(_levels(inner, ends={low_mm: lower, high_mm: upper}))
        if found[-1].astray <= (_STEPPED if found[-1].crossing else _CRUMPLED):
            break
    return min(found, key=lambda levels: levels.astray)


def _ways(
    lower: Floats, upper: Floats, *, low_mm: float, high_mm: float, rings_at: Outlines, extents_at: Outlines
) -> Iterator[Outlines]:
    """Functions from a height to the outline there; the one that comes nearest to true things first."""
    looked_at = [rings_at(low_mm + part * (high_mm - low_mm)) for part in _LOOKED_AT]
    if all(_part_in_loops(ring) <= _LOOPS for ring in looked_at):
        yield lambda height: _simpler(_without_loops(rings_at(height)))
    both = blend(lower, upper)
    if both is None:  # too thin for a grid

        def as_far_as_it_goes(height: float) -> Floats:
            ring = rings_at(height)
            return _simpler(_without_loops(ring)) if _part_in_loops(ring) < 1 else lower

        yield as_far_as_it_goes
        return

    def blended(height: float) -> Floats:
        ring = _simpler(both.outline((height - low_mm) / (high_mm - low_mm)))
        least, greatest = ring.min(axis=0), ring.max(axis=0)
        low, high = extents_at(height)
        return low + (ring - least) / (greatest - least) * (high - low)

    yield blended


def _levels(inner: Outlines, *, ends: Mapping[float, Floats]) -> Levels:
    """The levels between the sections at two heights: spans are halved until straight columns join both ends of each.

    Parameters
    ----------
    inner : callable
        From a height between the two to the outline there.
    ends : mapping of float to (n, 2) float64
        The sections' outlines by their heights, the lower one first.
    """
    known = dict(ends)

    def outline(height: float) -> Floats:
        if height not in known:
            known[height] = inner(height)
        return known[height]

    spans = list(pairwise(ends))
    over: dict[float, Floats] = {}  # columns, by the height from which they lead up
    astray: list[Floats] = []
    for halved in range(_LAST + 1):
        joined = _joined(spans, outline) if halved >= _FIRST else [None] * len(spans)
        wide = []
        for (low, high), columns in zip(spans, joined, strict=True):
            middle = 0.5 * (low + high)
            near = columns is not None and _stay_near(columns, outline(middle))
            if columns is not None and (near or halved == _LAST or high - low < 2 * _NEAREST_MM):
                over[low] = columns
                astray += [] if near else [columns]
            else:
                wide += [(low, middle), (middle, high)]
        spans = wide
        if not spans:
            break
    heights = sorted(over)
    low, high = ends
    return Levels(
        heights_mm=tuple(heights[1:]),
        parts=tuple((height - low) / (high - low) for height in heights[1:]),
        columns_mm=tuple(over[height] for height in heights),
        astray=len(astray) / len(over),
        crossing=not all(_never_cross(columns) for columns in astray),
    )


def _without_loops(ring: Floats) -> Floats:
    """The largest piece that a ring runs round, without holes and loops, its jags rounded; a simple ring as it is."""
    if region_measures.are_simple(ring[None])[0]:
        return ring
    whole = plane.counter_clockwise(wound_rings(ring)[0])
    reach = _away_mm(whole)
    rounded = planar.outer_rings(planar.opened(planar.closed(planar.region(whole), reach), reach))
    return rounded[0] if rounded else whole


def _simpler(ring: Floats) -> Floats:
    return planar.outer_rings(planar.simplified(planar.region(ring), within_mm=_SIMPLER_MM))[0]


def _part_in_loops(ring: Floats) -> float:
    """The area of a ring's loops as a part of that of its largest piece, at most 1; 1 where there is no piece."""
    pieces = wound_rings(ring)
    kept = abs(plane.signed_area(pieces[0])) if pieces else 0.0
    return min(1.0, abs(plane.signed_area(ring) - kept) / kept) if kept else 1.0


def _joined(spans: Sequence[tuple[float, float]], outline: Outlines) -> list[Floats]:
    """Columns between the outlines at both ends of each span, paired with their centroids laid over one another."""
    ends = [[outline(height) for height in span] for span in spans]
    centred = [[ring - plane.centroid(ring) for ring in pair] for pair in ends]
    pairs = pairings([low for low, _ in centred], [high for _, high in centred])
    return [paired_columns(*rings, to=to) for rings, to in zip(ends, pairs, strict=True)]


def _never_cross(columns: Floats) -> bool:
    """Whether straight columns ``(2, n, 2)`` make simple outlines all the way up."""
    return bool(
        region_measures.are_simple([_between(columns, part) for part in (0.0, 0.25, 0.5, 0.75, 1.0)]).all()
    )


def _stay_near(columns: Floats, middle: Floats) -> bool:
    """Whether straight columns ``(2, n, 2)`` never cross, and come near the outline that is wanted half way up."""
    if not _never_cross(columns):
        return False
    half = planar.region(_between(columns, 0.5))
    away = region_measures.distances_to_boundary(plane.resample(middle, count=_SAMPLES), half)
    return bool(away.max() <= _away_mm(middle))


def _between(columns: Floats, part: float) -> Floats:
    """The outline that straight columns make at a part of the way up, ``(p, 2)``; those that meet there count once."""
    ring = (1 - part) * columns[0] + part * columns[1]
    return ring[np.abs(ring - preceding(ring)).max(axis=1) > 0]


def _away_mm(outline: Floats) -> float:
    """How far the skin may leave an outline, mm."""
    return max(_AWAY_MM, _AWAY * float(np.ptp(outline, axis=0).max()))
