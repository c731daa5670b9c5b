"""How far a round thing stands out between the points that were read of it.

Where an outline turns by about the same at both ends of an edge, and the edges
beside it are about as long, the points stand for a curve: an arc that turns by
θ over a chord of length L rises L/2 · tan(θ/4) above it (the sagitta; any
geometry text). Larger turns are corners, and an edge much longer than its
neighbours is straight.
"""

from __future__ import annotations

import numpy as np

from cradle.geometry import ring as plane
from cradle.geometry.arrays import Floats, following, preceding
from cradle.geometry.vectors import turn_rad

_CORNER_DEG = 62.0
"""A turn of more than this is a corner (no source): six points, 60 degrees each, may stand for a round."""
_ALIKE = 2.0
"""Edges of one curve differ in length by no more than this factor."""


def chord_gap_mm(ring_mm: Floats) -> float:
    """The greatest rise of a curve through the points above the edges between them, mm; 0 without curves.

    Parameters
    ----------
    ring_mm : (n, 2) float64
        Counter-clockwise.

    Examples
    --------
    Twelve points of a circle of radius 30 miss it by 30 (1 − cos 15°) half way between them.

    >>> angle = np.arange(12) * np.pi / 6
    >>> round(chord_gap_mm(30 * np.column_stack([np.cos(angle), np.sin(angle)])), 3)
    1.022

    A box's corners are corners, and straight sides with a point on each are straight.

    >>> chord_gap_mm(np.array([[0.0, 0.0], [60.0, 0.0], [60.0, 40.0], [0.0, 40.0]]))
    0.0
    """
    edge = following(ring_mm) - ring_mm
    length = plane.edge_lengths(ring_mm)
    before = preceding(edge)
    # at the point from which each edge leaves
    turn = turn_rad(before, edge)
    here, there = turn, following(turn)
    beside = np.column_stack([preceding(length), following(length)])
    curved = (here * there > 0) & (np.maximum(np.abs(here), np.abs(there)) <= np.radians(_CORNER_DEG))
    curved &= (beside.max(axis=1) <= _ALIKE * length) & (beside.min(axis=1) * _ALIKE >= length)
    rise = length / 2 * np.tan(np.minimum(np.abs(here), np.abs(there)) / 4)
    return float(np.where(curved, rise, 0.0).max())
