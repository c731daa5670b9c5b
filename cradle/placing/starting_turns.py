"""From which turn and scale to search: those that make an outline's extents and its readings agree."""

from __future__ import annotations

from typing import Final

import numpy as np

from cradle.placing.ways import small_turns
from cradle.project.fit import SpreadSpec
from cradle.sections.adjustment import student_t_cost
from cradle.sections.laid import Laid
from cradle.sections.reading_spreads import SCALE_FREEDOM
from cradle.sections.sizes import Sizes

_TURNS_DEG: Final = np.arange(-10.0, 10.1, 0.5)


def starting_turn(laid: Laid, *, sizes: Sizes, spread: SpreadSpec) -> tuple[float, tuple[float, float]]:
    """The likeliest small turn, rad, and the scale there."""
    told = sizes.told_mm
    settled = laid.spec.turn_deg is not None or laid.settled_rad < np.radians(1.0)
    angles = np.zeros(1) if settled else np.radians(_TURNS_DEG)
    extent = small_turns(laid.ring, angles_rad=angles)
    cost = (angles / max(laid.settled_rad, 1e-9)) ** 2
    stated = max(spread.scale_percent / 100, laid.scale_share, 0.002)
    for axis, reading in enumerate(told):
        if reading is not None:
            sd = np.hypot(stated, 2 * spread.trace_mm / reading)
            off = np.log(extent[:, axis] / reading) / sd
            cost = cost + 2 * student_t_cost(off, freedom=SCALE_FREEDOM)
    best = int(cost.argmin())
    factors = [r / e for r, e in zip(told, extent[best], strict=True) if r is not None] or [1.0]
    return float(angles[best]), (factors[0], factors[-1])
