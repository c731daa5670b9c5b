"""Relief: how much more room between sections pays for what was not measured there."""

from __future__ import annotations

from typing import Final

import numpy as np

from cradle.fit.interpolation_error import between_mm
from cradle.geometry.arrays import Floats

COVERAGE: Final = 1.645
"""Of a normal spread, 95 of 100 cases lie below this many standard deviations."""
MOST_MM: Final = 0.8
STEP_MM: Final = 0.01


def auto_relief_mm(
    *,
    section_heights_mm: Floats,
    bows_per_mm: Floats,
    reach_mm: float,
    half_way_mm: float | None = None,
) -> float:
    """The relief for ``relief = "auto"``, mm: `COVERAGE` spreads half way in the gap that is known least.

    Parameters
    ----------
    section_heights_mm : (k,) float64
        Rising.
    bows_per_mm : (k − 1,) float64
        See `cradle.fit.interpolation_error.bows`.
    reach_mm : float
        Gaps that begin above this do not count.
    half_way_mm : float or None
        The spread half way between sections, where the project states it.
    """
    begun = section_heights_mm[:-1] < reach_mm
    middles = (section_heights_mm[:-1] + section_heights_mm[1:])[begun] / 2
    if not len(middles):
        return 0.0
    spread, _ = between_mm(
        middles,
        section_heights_mm=section_heights_mm,
        bows_per_mm=bows_per_mm,
        half_way_mm=half_way_mm,
    )
    wanted = COVERAGE * float(spread.max())
    return float(min(np.ceil(np.round(wanted / STEP_MM, 6)) * STEP_MM, MOST_MM))
