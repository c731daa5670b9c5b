"""Hollows of sections, spanned: the body runs straight across them, as a string pulled tight around the thing would.

A pocket that follows a groove has a rib there, which meets the groove only
where that runs between the sections as the loft guesses. The thing is held as
well by what stands out beside it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Final

import numpy as np

from cradle.finding import Finding, in_mm, note
from cradle.geometry.arrays import Floats, Ints, frozen
from cradle.geometry.planar import hull_ring
from cradle.geometry.vectors import cross, unit
from cradle.names import section_words
from cradle.noun import noun
from cradle.sections.section import Section

_TRACED: Final = 4.0
"""A hollow no deeper than so many tracing errors may be the hand's."""
_LEAST_MM: Final = 0.3
"""A pocket follows what is no deeper than this without a rib."""


@noun
class Hollow:
    """A hollow of a section.

    Attributes
    ----------
    points : (m,) int64
        Which points of the ring lie in it.
    start_mm, end_mm : (2,) float64
        The two between which its mouth lies.
    depth_mm : float
        How far in it reaches.
    """

    points: Ints
    start_mm: Floats
    end_mm: Floats
    depth_mm: float

    @property
    def width_mm(self) -> float:
        """How wide its mouth is."""
        return float(np.hypot(*(self.end_mm - self.start_mm)))


@noun
class Spanned:
    """Sections whose hollows are spanned, each with those it had."""

    sections: tuple[Section, ...]
    hollows: tuple[tuple[Hollow, ...], ...]


def spanned(sections: Sequence[Section], *, trace_mm: float) -> Spanned:
    """The sections, straight across every hollow that is deeper than an unsteady hand makes one.

    Parameters
    ----------
    trace_mm : float
        Spread of a traced outline.
    """
    rings, hollows = zip(*(spanned_ring(one.points_mm, trace_mm=trace_mm) for one in sections), strict=True)
    return Spanned(
        sections=tuple(
            replace(one, points_mm=ring, followed_mm=one.points_mm) if own else one
            for one, ring, own in zip(sections, rings, hollows, strict=True)
        ),
        hollows=hollows,
    )


def spanned_ring(ring: Floats, *, trace_mm: float) -> tuple[Floats, tuple[Hollow, ...]]:
    """A counter-clockwise ring, ``(n, 2)``, the points of its hollows on the chords across these; and the hollows.

    Examples
    --------
    >>> notched = np.array([[0.0, 0.0], [20.0, 0.0], [20.0, 10.0], [12.0, 10.0], [10.0, 4.0], [8.0, 10.0], [0.0, 10.0]])
    >>> ring, hollows = spanned_ring(notched, trace_mm=0.1)
    >>> ring[3:6].tolist(), hollows[0].width_mm, hollows[0].depth_mm
    ([[15.0, 10.0], [10.0, 10.0], [5.0, 10.0]], 20.0, 6.0)
    """
    out, hollows = ring.copy(), hollows_of(ring, trace_mm=trace_mm)
    for hollow in hollows:
        parts = np.linspace(0.0, 1.0, len(hollow.points) + 2)[1:-1, None]
        out[hollow.points] = hollow.start_mm + parts * (hollow.end_mm - hollow.start_mm)
    return frozen(out), hollows


def hollows_of(ring: Floats, *, trace_mm: float) -> tuple[Hollow, ...]:
    """The hollows of a counter-clockwise ring, ``(n, 2)``, that are deeper than an unsteady hand makes one: where it leaves its convex hull."""
    deep = max(_TRACED * trace_mm, _LEAST_MM)
    flat = np.array([1.0, 1.0j])
    corners = np.flatnonzero(np.isin(ring @ flat, hull_ring(ring) @ flat))
    found = []
    for first, last in pairwise([*corners.tolist(), int(corners[0]) + len(ring)]):
        if last - first > 1:
            start, end = ring[first], ring[last % len(ring)]
            inner = np.arange(first + 1, last) % len(ring)
            depth = float(cross(unit(end - start), ring[inner] - start).max())
            if depth > deep:
                found.append(Hollow(points=inner, start_mm=start, end_mm=end, depth_mm=depth))
    return tuple(found)


def hollow_findings(given: Spanned) -> tuple[Finding, ...]:
    """That hollows are spanned, once for all sections."""
    every = [(hollow, one) for one, own in zip(given.sections, given.hollows, strict=True) for hollow in own]
    if not every:
        return ()
    deepest, section = max(every, key=lambda pair: pair[0].depth_mm)
    x, y = (deepest.start_mm + deepest.end_mm) / 2
    across = "hollows, the deepest" if len(every) > 1 else "a hollow"
    return (
        note(
            "hollows-spanned",
            f"the pocket runs straight across {across} {deepest.width_mm:.1f} mm wide and {deepest.depth_mm:.1f} mm deep"
            f" in {section_words(section.name)}",
            'if it is to follow the outline, say hollows = "followed" under [loft]; the fit is then less sure',
            where="loft.hollows",
            place_mm=(float(x), float(y), section.height_mm),
            **in_mm(deepest.depth_mm),
        ),
    )
