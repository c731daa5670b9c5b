"""Columns: the skin's rings at any height, before profiles lead them.

A gap between neighbouring sections is *levelled* when outlines between them
lead the columns (`unlike`). A *segment* is what lies between two neighbouring
levels, or as many other gaps as follow one another: its columns are its own,
and run straight from level to level in the one, straight or smoothly from
section to section in the other.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from cradle.geometry.arrays import Floats, following, preceding
from cradle.geometry.knots import interval_of
from cradle.geometry.ring import away_from_segments, boxes, off_neighbours
from cradle.loft.interpolate import cubic_at, layer_heights, monotone_slopes, straight_at
from cradle.loft.pairing import positions_on_ring
from cradle.loft.unlike import Levels
from cradle.noun import noun
from cradle.sections.matching import Correspondence
from cradle.sections.rings import common_rings
from cradle.sections.section import RingStack

_LEVEL_MM = 0.1
"""How far the skin may leave columns that levels lead, between nodes: these are a guess."""
_COARSE_MM = 0.1
"""Columns that run through all segments leave out what is nearer than this to the line between two."""
_ON_EDGE_MM = 1e-9
"""A point of a section nearer than this to the line between its neighbours is no vertex."""


@noun
class Pace:
    """How far the form has gone between nodes.

    Attributes
    ----------
    heights_mm, to_mm : (p,) float64
        At which heights of an even change the form is found, both rising.
    shares : (k − 1, n) float64
        How much of that each column takes part in, in each gap, 0 to 1.
    """

    heights_mm: Floats
    to_mm: Floats
    shares: Floats

    def at(self, heights_mm: Floats) -> Floats:
        """The heights of an even change for ``(m,)`` heights between the first and the last, mm: a monotone cubic."""
        slopes = monotone_slopes(self.heights_mm, self.to_mm)
        return cubic_at(self.heights_mm, self.to_mm, slopes, heights_mm)


@noun
class Columns:
    """Rings with common points at rising heights, and how columns run between them.

    Attributes
    ----------
    heights_mm : (k,) float64
        Of the nodes: sections, or levels and the sections around them.
    rings_mm : (k, n, 2) float64
    smooth : bool
        Whether columns are monotone cubics from node to node; else they are straight.
    slack_mm : float
        How far the skin may leave them between nodes: where levels lead them they are a guess.
    pace : Pace or None
        How far the form has gone between nodes; evenly for None.
    """

    heights_mm: Floats
    rings_mm: Floats
    smooth: bool
    slack_mm: float = 0.0
    pace: Pace | None = None

    def at(self, heights_mm: Floats) -> Floats:
        """The rings at ``(m,)`` heights, those at the ends beyond them, ``(m, n, 2)``, mm."""
        nodes = self.heights_mm
        wanted = np.clip(heights_mm, nodes[0], nodes[-1])
        even = self._evenly(wanted)
        if self.pace is None:
            return even
        share = self.pace.shares[interval_of(nodes, wanted)][:, :, None]
        return np.asarray(even + share * (self._evenly(self.pace.at(wanted)) - even))

    def _evenly(self, heights_mm: Floats) -> Floats:
        """The rings at heights between the nodes if all change evenly, ``(m, n, 2)``, mm."""
        nodes, rings = self.heights_mm, self.rings_mm
        if self.smooth:
            return cubic_at(nodes, rings, monotone_slopes(nodes, rings), heights_mm)
        return straight_at(nodes, rings, heights_mm)

    def layers(self, *, chord_mm: float) -> Floats:
        """Heights between which straight columns stay within ``chord_mm`` of these, rising, mm."""
        nodes, rings = self.heights_mm, self.rings_mm
        if not self.smooth:
            return nodes
        return layer_heights(nodes, rings, monotone_slopes(nodes, rings), chord_mm=chord_mm)


def segments_of(stack: RingStack, *, smooth: bool, levels: Mapping[int, Levels]) -> list[Columns]:
    """The segments of a stack, from below.

    Parameters
    ----------
    smooth : bool
        Whether columns run smoothly where no levels lead them.
    levels : mapping of int to Levels
        The levels of each levelled gap, by its number.
    """
    heights, rings = np.asarray(stack.heights_mm), np.asarray(stack.rings_mm)
    ends = sorted({0, len(heights) - 1, *levels, *(gap + 1 for gap in levels)})
    found = []
    for low, high in pairwise(ends):
        if low in levels:
            found += _levelled(stack, low, levels[low])
        else:
            part = slice(low, high + 1)
            found.append(Columns(heights_mm=heights[part], rings_mm=rings[part], smooth=smooth))
    return found


def _levelled(stack: RingStack, gap: int, levels: Levels) -> list[Columns]:
    """The segments of one levelled gap, one from each level to the next."""
    low, high = stack.heights_mm[gap : gap + 2].tolist()
    heights = pairwise([low, *levels.heights_mm, high])
    return [
        Columns(heights_mm=np.array(ends), rings_mm=rings, smooth=False, slack_mm=_LEVEL_MM)
        for ends, rings in zip(heights, levels.columns_mm, strict=True)
    ]


def extents_of(segments: Sequence[Columns]) -> Callable[[Floats], Floats]:
    """Least and greatest x and y of the skin, ``(m, 2, 2)`` mm, as a function of ``(m,)`` heights."""
    tops = np.array([segment.heights_mm[-1] for segment in segments[:-1]])

    def extents(heights: Floats) -> Floats:
        which = np.searchsorted(tops, heights, side="left")
        out: Floats = np.empty((len(heights), 2, 2))
        for number in np.unique(which):
            here = which == number
            out[here] = boxes(segments[number].at(heights[here]))
        return out

    return extents


def vertices_of(ring: Floats) -> Floats:
    """The vertices of a ring, points on straight edges left out, ``(v, 2)``."""
    area, length = off_neighbours(ring)
    ahead = ((ring - preceding(ring)) * (following(ring) - ring)).sum(axis=1) >= 0
    vertex = ~((area <= _ON_EDGE_MM * length) & (length > 0) & ahead)
    return ring[vertex] if vertex.sum() >= 3 else ring


class Piece(NamedTuple):
    """Layers with columns in common: heights ``(l,)`` and rings ``(l, n, 2)``, mm; a run may be one ring alone."""

    heights_mm: Floats
    rings_mm: Floats


def common_rings_of(pieces: Sequence[Piece]) -> Piece:
    """The layers of all pieces, with columns that run through them all.

    Within 0.1 mm of the given rings; for what looks at the skin from afar.

    Parameters
    ----------
    pieces : sequence of Piece
        Each begins with the outline with which the one before ends.
    """
    outlines: list[Floats] = []
    heights: list[Floats] = []
    maps: list[Correspondence] = []
    for own, rings in pieces:
        positions = [positions_on_ring(ring) for ring in rings]
        if outlines:
            maps.append(_turned(outlines[-1], rings[0]))
        maps += [Correspondence(here=low[:-1], there=high[:-1]) for low, high in pairwise(positions)]
        outlines += list(rings)
        heights.append(own)
    rings = common_rings(
        outlines,
        positions=[positions_on_ring(ring) for ring in outlines],
        maps=maps,
        slack_mm=[_COARSE_MM] * len(outlines),
    )
    every = np.concatenate(heights)
    once = np.append(True, np.diff(every) > 0)
    return Piece(every[once], _fewer(rings[once]))


def _turned(ring: Floats, same: Floats) -> Correspondence:
    """The map from a ring to the same outline begun at another of its points."""
    start = int(((ring - same[0]) ** 2).sum(axis=1).argmin())
    here = positions_on_ring(ring)[:-1]
    return Correspondence(here=here, there=here - here[start])


def _fewer(rings: Floats) -> Floats:
    """The rings without the columns that lie near the line between their neighbours on all of them."""
    while True:
        before, after = np.roll(rings, 1, axis=1), np.roll(rings, -1, axis=1)
        chord, out = after - before, rings - before
        away = (away_from_segments(out, chord) ** 2).sum(axis=2).max(axis=0)
        spared = np.flatnonzero(away <= (_COARSE_MM / 4) ** 2)
        spared = spared[np.append(True, np.diff(spared) > 1)] if len(spared) else spared
        if len(spared) < 0.02 * rings.shape[1] or rings.shape[1] < 64:
            return rings
        rings = np.delete(rings, spared[1:], axis=1)
