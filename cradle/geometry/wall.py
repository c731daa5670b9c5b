"""The sloping wall between levels: a terrain of triangles, seen from above.

Its triangles are made better by exchanging diagonals (Lawson's flips, from memory).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from cradle.geometry.arrays import Floats, Ints

_ROUNDS: Final = 24
OUTLOOK_MM: Final = 0.5
"""Corners that look to opposite sides count as so much further apart, twice: so corners of outlines join corners."""
_LEAST_GAIN: Final = 1e-6
_LEAST_MM2: Final = 1e-9
"""Faces smaller than half of this are not made."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Wall:
    """The sloping faces between levels, clockwise in plan.

    Attributes
    ----------
    points_mm : (n, 3) float64
    outlook : (n, 2) float64
        Unit vectors that point outward from each point in plan.
    faces : (f, 3) int64
    level : (n,) int64
        Of each point.
    slab : (f,) int64
        Between which levels each face lies.
    """

    points_mm: Floats
    outlook: Floats
    faces: Ints
    level: Ints
    slab: Ints

    def well_shaped(self) -> Wall:
        """The wall with as few flat faces as may be, and else none thinner than it must be.

        Two neighbours are cut along their other diagonal where no sphere round one
        then holds a corner of the other (Delaunay), or where that makes of a *flat*
        face, all of whose corners are on one level, one that is not.
        """
        return replace(self, faces=self._exchanged(np.arange(len(self.faces))))

    def _exchanged(self, looked_at: Ints) -> Ints:
        points, level, faces = self.points_mm, self.level, self.faces.copy()
        looks = np.column_stack([points, OUTLOOK_MM * self.outlook])
        for turn in range(_ROUNDS):
            own, other = _pairs(faces[looked_at], count=len(points))
            one, two = looked_at[own // 3], looked_at[other // 3]
            together = self.slab[one] == self.slab[two]
            own, other, one, two = own[together], other[together], one[together], two[together]
            u, v, apex = (faces[one, (own % 3 + turn_by) % 3] for turn_by in range(3))
            across = faces[two, (other % 3 + 2) % 3]
            flats = [
                (level[a] == level[b]) & (level[b] == level[c])
                for a, b, c in ((u, v, apex), (v, u, across), (u, across, apex), (across, v, apex))
            ]
            before, after = flats[0].astype(int) + flats[1], flats[2].astype(int) + flats[3]
            gain = np.where(after == before, _thinness(looks, u, v, apex, across), before - after)
            good = gain > (_LEAST_GAIN if turn < _ROUNDS // 2 else 0.5)
            good &= (_twice_area(points, across, v, apex) < -_LEAST_MM2) & (
                _twice_area(points, u, across, apex) < -_LEAST_MM2
            )
            chosen = _apart(one, two, np.where(good, gain, 0.0), count=len(faces))
            if not len(chosen):
                break
            faces[one[chosen]] = np.column_stack([u, across, apex])[chosen]
            faces[two[chosen]] = np.column_stack([across, v, apex])[chosen]
            moved = np.zeros(len(faces), dtype=bool)
            moved[one[good]] = moved[two[good]] = True
            beside = moved[one] | moved[two]
            looked_at = np.unique(np.concatenate([one[beside], two[beside]]))
        return faces


def _pairs(faces: Ints, *, count: int) -> tuple[Ints, Ints]:
    """The two half-edges, 3 f + corner, of every edge that two faces share."""
    tail, head = faces.ravel(), faces[:, [1, 2, 0]].ravel()
    key = np.minimum(tail, head) * count + np.maximum(tail, head)
    order = np.argsort(key, kind="stable")
    twice = np.flatnonzero(key[order][1:] == key[order][:-1])
    return order[twice], order[twice + 1]


def _thinness(points: Floats, u: Ints, v: Ints, apex: Ints, across: Ints) -> Floats:
    """The sine of the two angles opposite the diagonal together, negative: above 0 where the other is better."""
    sines, cosines = [], []
    for corner in (apex, across):
        a, b = points[u] - points[corner], points[v] - points[corner]
        size = np.maximum(np.sqrt((a**2).sum(axis=1) * (b**2).sum(axis=1)), 1e-18)
        cosines.append(np.clip((a * b).sum(axis=1) / size, -1, 1))
        sines.append(np.sqrt(1 - cosines[-1] ** 2))
    return np.asarray(-(sines[0] * cosines[1] + cosines[0] * sines[1]))


def _apart(one: Ints, two: Ints, gain: Floats, *, count: int) -> Ints:
    """Numbers of the exchanges with a gain that are the best for both of their faces."""
    rank = np.empty(len(gain), dtype=np.int64)
    rank[np.argsort(-gain, kind="stable")] = np.arange(len(gain))
    best = np.full(count, len(gain))
    np.minimum.at(best, one, rank)
    np.minimum.at(best, two, rank)
    return np.flatnonzero((gain > 0) & (best[one] == rank) & (best[two] == rank))


def _twice_area(points: Floats, a: Ints, b: Ints, c: Ints) -> Floats:
    """Twice the signed areas of triangles, mm²; negative where they run clockwise."""
    ab, ac = points[b] - points[a], points[c] - points[a]
    return np.asarray(ab[:, 0] * ac[:, 1] - ab[:, 1] * ac[:, 0])
