"""What a section's outline alone tells of how it lies beside its neighbour.

An outline that is off by ``m`` everywhere, independently over a length
``l``, settles a turn or shift to ``m / sqrt(perimeter / l)`` over how much
the outline moves square to itself: a circle's turn is settled by nothing.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from cradle.geometry.arrays import Floats
from cradle.geometry.vectors import cross
from cradle.noun import noun
from cradle.sections.rigid import Motion, rigid_match
from cradle.sections.unit_curve import UnitCurve, nearest

WAVES: Final = 8.0
"""Two outlines differ in so many independent ways (by inspection of scanned things)."""
_LEAST_MISFIT: Final = 0.002
"""Share of the size below which tracing hides how alike two outlines are."""
OPEN_RAD: Final = 1.0
"""A turn no better known than this is not known."""


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

    The shift is that of outlines that are alike; the less they are, the more
    it is that of their middles, which say as much about unlike ones.
    """
    still = rigid_match(reference, moving=moving, motion=Motion.SHIFT)
    spun = rigid_match(reference, moving=moving)
    alike = 1.0 / (1.0 + (still.misfit / 0.03) ** 2)
    size = reference.size_mm
    misfit = max(still.misfit, _LEAST_MISFIT)
    return Likeness(
        shift_mm=alike * still.shift_mm,
        turn_rad=float(np.radians(spun.turn_deg)),
        misfit_mm=misfit * size,
        turn_spread_rad=_turn_spread(reference, misfit=max(spun.misfit, _LEAST_MISFIT)),
    )


def _turn_spread(curve: UnitCurve, *, misfit: float) -> float:
    points = curve.samples
    _, normals = nearest(curve, points)
    slopes = np.column_stack([normals, cross(points, normals)])
    normal = slopes.T @ slopes / len(slopes) * WAVES
    if np.linalg.eigvalsh(normal)[0] <= 1e-9:
        return float("inf")
    spread = misfit * float(np.sqrt(np.linalg.inv(normal)[2, 2]))
    return spread if spread < OPEN_RAD else float("inf")
