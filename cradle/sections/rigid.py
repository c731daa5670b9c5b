"""The shift and turn that bring one section's outline best onto another's.

Shape is compared without size (`UnitCurve`), on nearest points. The shift and
turn themselves are of true size, from the corresponding points, in closed form: Umeyama,
"Least-squares estimation of transformation parameters between two point patterns",
IEEE PAMI 13(4) (1991) 376-380.
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
_STILL: Final = 1e-5
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
    settles which points correspond; the result is the least-squares motion
    between those points at true size. The sizes may differ: no scale is fitted.
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
        if np.abs(step).max() < _STILL:
            break
    here = turned(points, angle_deg=float(np.degrees(angle))) + shift
    feet, _ = nearest(reference, here)
    misfit = float(np.sqrt(np.mean(((here - feet) ** 2).sum(axis=1))))
    to = reference.centroid_mm + reference.size_mm * feet
    of = moving.centroid_mm + moving.size_mm * points
    fixed_deg = float(np.degrees(angle)) if motion is Motion.SHIFT or _is_round(slope) else None
    turn_deg, shift_mm = least_squares_motion(of, to=to, turn_deg=fixed_deg)
    return RigidMatch(turn_deg=turn_deg, shift_mm=shift_mm, misfit=misfit)


def least_squares_motion(of: Floats, *, to: Floats, turn_deg: float | None = None) -> tuple[float, Floats]:
    """The turn (deg) and then shift (mm) that bring points ``of`` nearest to ``to``, both ``(n, 2)``.

    The turn minimises the sum of squared distances (Umeyama, Eq. 40, here in
    its plane form: the phase of the covariance of the points as complex
    numbers) unless it is given; the shift is Eq. 41 with the scale 1.
    """
    mean_of, mean_to = of.mean(axis=0), to.mean(axis=0)
    if turn_deg is None:
        a, b = (of - mean_of) @ np.array([1.0, 1.0j]), (to - mean_to) @ np.array([1.0, 1.0j])
        turn_deg = float(np.degrees(np.angle(np.vdot(a, b))))
    return turn_deg, mean_to - turned(mean_of[None], angle_deg=turn_deg)[0]


def _is_round(slope: Floats) -> bool:
    """Whether turning would slide the curve along itself, so that the turn is not settled."""
    values = np.linalg.svd(slope, compute_uv=False)
    return bool(values[-1] <= _SETTLED * values[0])
