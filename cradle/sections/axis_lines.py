"""A section's mirror lines by the thing's axes: which one each is nearest to, how far off, and how surely."""

from __future__ import annotations

from typing import Final

import numpy as np

from cradle.geometry.ring import perimeter
from cradle.geometry.vectors import cross
from cradle.noun import record
from cradle.sections.laid import Laid
from cradle.sections.likeness import OPEN_RAD
from cradle.sections.mirror import MirrorLine, turn_from_axis
from cradle.sections.unit_curve import UnitCurve, nearest

_INDEPENDENT_MM: Final = 30.0
"""Tracing errors this far apart along an outline are independent: √(2π) times the 12 mm they keep their direction."""


@record
class AxisLine:
    """A mirror line that lies nearly across an axis.

    Attributes
    ----------
    axis : int
        Along which the halves lie: 0 for x, 1 for y.
    turn_rad : float
        From the line that lies square across the axis.
    place_mm : float
        Of its foot along its normal, from the section's middle.
    turn_spread_rad, place_spread_mm : float
        Standard uncertainties; infinite where the outline does not settle it.
    """

    axis: int
    turn_rad: float
    place_mm: float
    turn_spread_rad: float
    place_spread_mm: float


def axis_lines(laid: Laid, *, curve: UnitCurve, trace_mm: float) -> tuple[AxisLine, ...]:
    """A section's mirror lines, each with the axis it lies nearest across; ``curve`` is the section's own."""
    found = []
    for line in laid.lines:
        upright = float(turn_from_axis(line.angle_deg, axis_deg=90.0))
        axis = 0 if abs(upright) <= 45.0 else 1
        angle = np.radians(upright if axis == 0 else float(turn_from_axis(line.angle_deg, axis_deg=0.0)))
        cos, sin = np.cos(angle), np.sin(angle)
        normal = np.array([cos, sin] if axis == 0 else [-sin, cos])
        exact = (0.0, 0.0)
        turn, place = exact if laid.exact else mirror_spreads(curve, line=line, trace_mm=trace_mm)
        found.append(
            AxisLine(
                axis=axis,
                turn_rad=float(angle),
                place_mm=float(normal @ line.point_mm),
                turn_spread_rad=turn,
                place_spread_mm=place,
            )
        )
    return tuple(found)


def mirror_spreads(curve: UnitCurve, *, line: MirrorLine, trace_mm: float) -> tuple[float, float]:
    """How well an outline settles a mirror line: its turn, rad, and its place, mm; infinite where it does not.

    Parameters
    ----------
    line : MirrorLine
        Found in the ring of the curve.
    """
    angle = np.radians(line.angle_deg)
    across = np.array([-np.sin(angle), np.cos(angle)])
    at = (line.point_mm - curve.centroid_mm) / curve.size_mm
    points = curve.samples - at
    image = points - 2.0 * (points @ across)[:, None] * across + at
    feet, normals = nearest(curve, image)
    left = image - at
    by_turn = 2.0 * cross(left, normals)
    slopes = np.column_stack([2.0 * (normals @ across), by_turn])
    rms = float(np.sqrt(np.mean(((feet - image) ** 2).sum(axis=1))))
    error = max(rms, np.sqrt(2.0) * trace_mm / curve.size_mm)
    # the halves are one another's image
    independent = max(perimeter(curve.samples) * curve.size_mm / _INDEPENDENT_MM, 3.0) / 2.0
    normal = slopes.T @ slopes / len(slopes) * independent
    values = np.linalg.eigvalsh(normal)
    if values[0] <= 0:
        return np.inf, np.inf
    covariance = error**2 * np.linalg.inv(normal)
    turn, place = float(np.sqrt(covariance[1, 1])), float(np.sqrt(covariance[0, 0])) * curve.size_mm
    return (turn if turn < OPEN_RAD else np.inf), place
