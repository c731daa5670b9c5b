"""The shift and turn that bring one section's outline best onto another's.

Shape is compared without size (`UnitCurve`), on nearest points; the shift is that of true size, between corresponding points.
"""

from __future__ import annotations

from enum import Enum, auto
from typing import Final

import numpy as np

from cradle.geometry.arrays import Floats
from cradle.geometry.ring import turned
from cradle.geometry.vectors import cross
from cradle.noun import noun
from cradle.sections.unit_curve import UnitCurve, nearest

_PASSES: Final = 12
STILL: Final = 1e-5
"""A step of less than this share of the size is the last: the next would be some thirtieth of it."""
_SETTLED: Final = 2e-3
"""Smallest share of the largest singular value that settles a direction: a circle's turn is not settled."""


class Motion(Enum):
    """What may move."""

    SHIFT = auto()
    SHIFT_AND_TURN = auto()


@noun
class RigidMatch:
    """How to move an outline onto its neighbour.

    ``turn_deg`` is applied first, about the drawing's origin, then
    ``shift_mm`` (2,). ``misfit`` is the root-mean-square distance between the
    two shapes, both brought to unit area: a pure number.
    """

    turn_deg: float
    shift_mm: Floats
    misfit: float


def rigid_match(
    reference: UnitCurve, *, moving: UnitCurve, motion: Motion = Motion.SHIFT_AND_TURN
) -> RigidMatch:
    """The motion that brings ``moving`` onto ``reference``, nearly turned already.

    Gauss-Newton on the distances along the normals of the unit-size curves
    settles the turn and which points correspond; the shift is the least-squares
    one between those points at true size. The sizes may differ: no scale is fitted.
    """
    angle, shift = 0.0, np.zeros(2)
    points = moving.samples
    columns = 3 if motion is Motion.SHIFT_AND_TURN else 2
    for _ in range(_PASSES):
        spun = turned(points, angle_deg=float(np.degrees(angle)))
        here = spun + shift
        feet, normals = nearest(reference, here)
        slope = np.column_stack([normals, cross(spun, normals)])[:, :columns]
        residual = ((feet - here) * normals).sum(axis=1)
        step = np.linalg.lstsq(slope, residual, rcond=_SETTLED)[0]
        step = np.clip(step, -0.2, 0.2)
        shift = shift + step[:2]
        angle += float(step[2]) if columns == 3 else 0.0
        if np.abs(step).max() < STILL:
            break
    here = turned(points, angle_deg=float(np.degrees(angle))) + shift
    feet, _ = nearest(reference, here)
    misfit = float(np.sqrt(np.mean(((here - feet) ** 2).sum(axis=1))))
    to = reference.centroid_mm + reference.size_mm * feet
    of = moving.centroid_mm + moving.size_mm * points
    turn_deg = float(np.degrees(angle))
    shift_mm = to.mean(axis=0) - turned(of.mean(axis=0)[None], angle_deg=turn_deg)[0]
    return RigidMatch(turn_deg=turn_deg, shift_mm=shift_mm, misfit=misfit)
