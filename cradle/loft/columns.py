"""Columns: the skin's rings at any height, before profiles lead them.

A gap between neighbouring sections is *levelled* when outlines between them lead
the columns (`unlike`). A *segment* is a stretch of the skin with columns of its
own. There are two kinds: from one level to the next, with straight columns; and
across all gaps in a row that are not levelled, with columns that run straight or
smoothly from section to section.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from itertools import pairwise

import numpy as np

from cradle.geometry.arrays import Floats
from cradle.geometry.knots import interval_of
from cradle.geometry.ring import are_vertices, boxes
from cradle.loft.interpolate import cubic_at, monotone_slopes, straight_at
from cradle.loft.unlike import Levels
from cradle.matching.ring_stack import RingStack
from cradle.noun import noun

_LEVEL_MM = 0.1
"""How far the skin may leave columns between levels, which are a guess."""
_FEWEST = 3
"""Fewer columns than this enclose nothing."""


@noun
class Pace:
    """How far the form has gone from node to node at each height.

    Attributes
    ----------
    heights_mm, even_mm : (p,) float64
        Heights and their even heights, both rising.
    shares : (k − 1, n) float64
        How much each column follows this pace in each gap, 0 (it goes evenly) to 1.
    """

    heights_mm: Floats
    even_mm: Floats
    shares: Floats

    def at(self, heights_mm: Floats) -> Floats:
        """The even heights of ``(m,)`` heights between the first and the last, mm: a monotone cubic."""
        slopes = monotone_slopes(self.heights_mm, self.even_mm)
        return cubic_at(self.heights_mm, self.even_mm, slopes, heights_mm)


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
        beside = self._beside(heights_mm)
        nodes, rings = self.heights_mm[beside], self.rings_mm[beside]
        if self.smooth:
            return cubic_at(nodes, rings, monotone_slopes(nodes, rings), heights_mm)
        return straight_at(nodes, rings, heights_mm)

    def _beside(self, heights_mm: Floats) -> slice:
        """The nodes on which the rings at heights depend: two below the lowest height, and two above the highest."""
        if not len(heights_mm):
            return slice(None)
        low, high = interval_of(self.heights_mm, np.array([heights_mm.min(), heights_mm.max()])).tolist()
        return slice(max(0, low - 1), high + 3)


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
            own = _own_columns(rings[part]) if levels else rings[part]
            found.append(Columns(heights_mm=heights[part], rings_mm=own, smooth=smooth))
    return found


def _own_columns(rings_mm: Floats) -> Floats:
    """The rings ``(k, n, 2)`` without columns that stand on no vertex of these sections, ``(k, m, 2)``.

    Other sections may have thousands of points. A thin blade between levels would get as many facets, each finer than
    any clearance, and its offset would cross itself everywhere.
    """
    own = np.logical_or.reduce([are_vertices(ring) for ring in rings_mm])
    return rings_mm[:, own] if own.sum() >= _FEWEST else rings_mm


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
