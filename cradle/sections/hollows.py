"""Hollows of sections: where an outline leaves its convex hull."""

from __future__ import annotations

from itertools import pairwise
from typing import Final

import numpy as np

from cradle.geometry.arrays import Floats, Ints
from cradle.geometry.planar import hull_ring
from cradle.geometry.vectors import cross, unit
from cradle.noun import noun

_TRACED: Final = 4.0
"""A hollow no deeper than this many tracing errors may be the hand's error."""
_LEAST_MM: Final = 0.3
"""A hollow no deeper than this does not count: a pocket that follows it gets no rib there."""


@noun
class Hollow:
    """A hollow of a section.

    Attributes
    ----------
    points : (m,) int64
        Which points of the ring lie in it.
    start_mm, end_mm : (2,) float64
        The points of the ring between which its mouth lies.
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
