"""What a section's outline alone tells of how it lies beside its neighbour.

Where an outline is off by ``m`` everywhere, independently over every length
``l``, the spread of a turn or shift found from it is ``m / sqrt(perimeter /
l)``, divided by how far that motion moves the outline along its normals: a
circle does not tell its turn. Shapes are compared at unit size (`UnitCurve`), by
nearest points; the shift is taken at true size, between corresponding points.
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

WAVES: Final = 8.0
"""The number of independent ways in which two outlines differ (by inspection of scanned things)."""
_LEAST_MISFIT: Final = 0.002
"""Share of the size below which tracing hides how alike two outlines are."""
OPEN_RAD: Final = 1.0
"""A turn no better known than this is not known."""
_ALIKE: Final = 0.01
"""Misfit, as a share of the size, at which an outline is laid half way between its best fit and its neighbour's middle.

With this value the steps between neighbours of 44 scanned things and of 55 shapes of other sources, outlines drawn by
hand and up to some degrees askew, are likeliest (0.003 to 0.03 tried).
"""
_PASSES: Final = 12
STILL: Final = 1e-5
"""A step of less than this share of the size is the last: the next would be some thirtieth of it."""
_SETTLED: Final = 2e-3
"""Singular values below this share of the largest are left out: the shape does not tell that motion, as a circle's turn."""


class Motion(Enum):
    """Which motions are fitted."""

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
    """The motion that brings ``moving`` onto ``reference``, from which it is turned but little.

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


@noun
class Likeness:
    """How an outline lies best on its neighbour, both about their middles.

    ``shift_mm`` (2,) and ``turn_rad`` move it there; ``misfit_mm`` is the
    root-mean-square distance that is left, and ``turn_spread_rad`` is infinite
    where the outlines do not settle a turn.
    """

    shift_mm: Floats
    turn_rad: float
    misfit_mm: float
    turn_spread_rad: float


def likeness(reference: UnitCurve, *, moving: UnitCurve) -> Likeness:
    """How one outline lies best on its neighbour.

    The shift of alike outlines is that of the best fit. The more unlike they are,
    the more it is the one that lays their middles on one another: of unlike
    outlines these tell as much.
    """
    still = rigid_match(reference, moving=moving, motion=Motion.SHIFT)
    spun = rigid_match(reference, moving=moving)
    alike = 1.0 / (1.0 + (still.misfit / _ALIKE) ** 2)
    size = reference.size_mm
    misfit = max(still.misfit, _LEAST_MISFIT)
    return Likeness(
        shift_mm=alike * still.shift_mm,
        turn_rad=float(np.radians(spun.turn_deg)),
        misfit_mm=misfit * size,
        turn_spread_rad=_turn_spread(reference, misfit=max(spun.misfit, _LEAST_MISFIT)),
    )


def _turn_spread(curve: UnitCurve, *, misfit: float) -> float:
    """Spread of a turn fitted to the curve with a misfit, rad; infinite where that tells nothing."""
    points = curve.samples
    _, normals = nearest(curve, points)
    slopes = np.column_stack([normals, cross(points, normals)])
    normal = slopes.T @ slopes / len(slopes) * WAVES
    if np.linalg.eigvalsh(normal)[0] <= 1e-9:
        return float("inf")
    spread = misfit * float(np.sqrt(np.linalg.inv(normal)[2, 2]))
    return spread if spread < OPEN_RAD else float("inf")
