"""UnitCurve: a ring brought to unit size about its centroid, ready for nearest-point questions.

Size is taken out by the square root of the enclosed area, so that sections
of different size can be compared by shape; `UnitCurve.centroid_mm` and
`UnitCurve.size_mm` lead back to millimetres.
"""

from __future__ import annotations

from typing import Any, Final

import numpy as np

from cradle.geometry.arrays import Floats, Ints, following
from cradle.geometry.edge_search import edge_index, feet_on, nearest_edges
from cradle.geometry.ring import (
    arc_positions,
    centroid,
    counter_clockwise,
    edge_lengths,
    outward,
    resample,
    signed_area,
)
from cradle.geometry.vectors import lengths
from cradle.noun import noun

SAMPLES: Final = 256
"""Points at equal arc length that stand for a curve in sums of squares."""
_PIECES: Final = 512
"""Edges longer than the perimeter over this are divided, so that near vertices lie on near edges."""
_NORMAL_REACH: Final = 0.01
"""Normals come from chords of twice this share of the perimeter: a scanner's noise averages out."""


@noun
class UnitCurve:
    """A counter-clockwise ring of unit area with its centroid at the origin.

    Attributes
    ----------
    points : (m, 2) float64
        The ring's vertices and further points on its longer edges, in units of ``size_mm``.
    normals : (m, 2) float64
        Outward unit normals there, smoothed.
    samples : (SAMPLES, 2) float64
        Points at equal arc length, from the vertex farthest from the centroid.
    centroid_mm : (2,) float64
    size_mm : float
        Square root of the enclosed area.
    """

    points: Floats
    normals: Floats
    samples: Floats
    centroid_mm: Floats
    size_mm: float
    index: Any


def curve_of(ring: Floats) -> UnitCurve:
    """The curve of a ring in mm, ``(n, 2)``; start vertex and direction do not matter."""
    middle = centroid(ring)
    size_mm = float(np.sqrt(abs(signed_area(ring))))
    unit = (counter_clockwise(ring) - middle) / size_mm
    far = int(np.argmax(lengths(unit)))
    unit = np.roll(unit, -far, axis=0)
    points = divided(unit, step=float(edge_lengths(unit).sum()) / _PIECES)
    return UnitCurve(
        points=points,
        normals=outward(points, reach_mm=_NORMAL_REACH * float(arc_positions(points)[-1])),
        samples=resample(unit, count=SAMPLES),
        centroid_mm=middle,
        size_mm=size_mm,
        index=edge_index(points),
    )


def divided(ring: Floats, *, step: float) -> Floats:
    """The same ring with points added on edges longer than ``step``, ``(m, 2)``."""
    pieces: Ints = np.maximum(np.ceil(edge_lengths(ring) / step - 1e-9), 1).astype(np.int64)
    first = np.repeat(np.cumsum(pieces) - pieces, pieces)
    share = (np.arange(len(first)) - first) / np.repeat(pieces, pieces)
    edge = following(ring) - ring
    return np.repeat(ring, pieces, axis=0) + share[:, None] * np.repeat(edge, pieces, axis=0)


def nearest(curve: UnitCurve, points: Floats) -> tuple[Floats, Floats]:
    """The feet of ``points`` on the curve and the normals there, both ``(n, 2)``."""
    edge = nearest_edges(curve.index, points)
    feet, share = feet_on(curve.points, points, edges=edge)
    return feet, curve.normals[(edge + (share > 0.5)) % len(curve.points)]


def distances(curve: UnitCurve, points: Floats) -> Floats:
    """The distances from ``points`` to the curve, ``(n,)``, in units of ``size_mm``."""
    edges = nearest_edges(curve.index, points)
    gap = feet_on(curve.points, points, edges=edges)[0] - points
    return lengths(gap)
