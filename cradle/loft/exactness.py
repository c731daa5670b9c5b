"""How far a ring misses the section it stands for."""

from __future__ import annotations

import numpy as np

from cradle.geometry import planar, region_measures
from cradle.geometry import ring as plane
from cradle.geometry.arrays import Floats

_NEIGHBOURS = np.arange(-3, 4)
"""Edges looked at on either side of the one at the same part of the perimeter."""


def section_error_mm(outline: Floats, ring: Floats, *, allowed_mm: float) -> float:
    """Largest distance from points of a section to its ring, and back, mm.

    Distances up to ``allowed_mm`` may be overstated, larger ones are exact.

    Parameters
    ----------
    outline, ring : (n, 2), (m, 2) float64, mm
        Both counter-clockwise.
    """
    return max(_farthest(outline, ring, allowed_mm), _farthest(ring, outline, allowed_mm))


def _farthest(points: Floats, ring: Floats, allowed_mm: float) -> float:
    nearest = int(((ring - points[0]) ** 2).sum(axis=1).argmin())
    turned = np.roll(ring, -nearest, axis=0)
    ours, theirs = plane.arc_positions(points), plane.arc_positions(turned)
    ahead = float((points[0] - turned[0]) @ (turned[1] - turned[-1])) / float(
        np.hypot(*(turned[1] - turned[-1]))
    )
    place = np.mod(ours[:-1] / ours[-1] + ahead / theirs[-1], 1.0)
    edge = np.searchsorted(theirs / theirs[-1], place, side="right") - 1
    start = turned[(edge[:, None] + _NEIGHBOURS) % len(turned)]
    along = turned[(edge[:, None] + _NEIGHBOURS + 1) % len(turned)] - start
    away = plane.away_from_segments(points[:, None] - start, along)
    distance = np.sqrt((away**2).sum(axis=2).min(axis=1))  # to edges nearby: never too small
    far = distance > allowed_mm
    if far.any():
        distance[far] = region_measures.distances_to_boundary(points[far], planar.region(ring))
    return float(distance.max())
