"""A section's mirror lines by the thing's axes: which one each is nearest to, how far off, and how surely."""

from __future__ import annotations

from typing import Final

import numpy as np

from cradle.noun import record
from cradle.sections.laid import Laid
from cradle.sections.likeness import mirror_spreads
from cradle.sections.mirror import turn_from_axis
from cradle.sections.unit_curve import UnitCurve

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
        turn, place = (
            (0.0, 0.0)
            if laid.exact
            else mirror_spreads(curve, line=line, trace_mm=trace_mm, length_mm=_INDEPENDENT_MM)
        )
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
