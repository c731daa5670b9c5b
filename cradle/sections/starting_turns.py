"""From which turns to search: those that make an outline's extents and its readings agree."""

from __future__ import annotations

from typing import Final

import numpy as np

from cradle.project.fit import SpreadSpec
from cradle.sections.adjustment import student_t_cost
from cradle.sections.laid import Laid
from cradle.sections.reading_spreads import SCALE_FREEDOM
from cradle.sections.sizes import Sizes
from cradle.sections.ways import small_turns

_TURNS_DEG: Final = np.arange(-10.0, 10.1, 0.5)
_UNLIKELY: Final = 12.0


def starting_turns(
    laid: Laid, *, sizes: Sizes, spread: SpreadSpec
) -> tuple[list[float], tuple[float, float]]:
    """Small turns, rad, that make the outline's extents and readings agree, likeliest first; and the scale there."""
    told = sizes.told_mm
    if laid.spec.turn_deg is not None or laid.settled_rad < np.radians(1.0):
        turns, best = [0.0], 0
        extent = np.array([sizes.traced_mm])
    else:
        angles = np.radians(_TURNS_DEG)
        extent = small_turns(laid.ring, angles_rad=angles)
        cost = (angles / laid.settled_rad) ** 2
        stated = max(spread.scale_percent / 100, 0.002)
        for axis, reading in enumerate(told):
            if reading is not None:
                sd = np.hypot(stated, 2 * spread.trace_mm / reading)
                off = np.log(extent[:, axis] / reading) / sd
                cost = cost + 2 * student_t_cost(off, freedom=SCALE_FREEDOM)
        inner = np.r_[np.inf, cost, np.inf]
        lows = np.flatnonzero((inner[1:-1] <= inner[:-2]) & (inner[1:-1] < inner[2:]))
        lows = lows[np.argsort(cost[lows], kind="stable")]
        lows = lows[cost[lows] <= cost[lows[0]] + _UNLIKELY][:3]
        turns, best = [float(angles[i]) for i in lows], int(lows[0])
        upright = [-np.radians((line.angle_deg + 45.0) % 90.0 - 45.0) for line in laid.lines]
        turns += [
            float(t) for t in upright if abs(t) <= angles[-1] and np.abs(t - np.array(turns)).min() > 0.01
        ]
    factors = [1.0 if r is None else r / e for r, e in zip(told, extent[best], strict=True)]
    if None in told:
        factors = [f for f, r in zip(factors, told, strict=True) if r is not None] or [1.0]
        factors = [factors[0], factors[0]]
    return turns, (factors[0], factors[1])
