"""Relief: how much more room between sections pays for what was not measured there."""

from __future__ import annotations

from typing import Final

import numpy as np

from cradle.geometry.arrays import Floats

COVERAGE: Final = 1.645
"""Of a normal spread, 95 of 100 cases lie below this many standard deviations."""
MOST_MM: Final = 0.8
STEP_MM: Final = 0.01


def auto_relief_mm(*, section_heights_mm: Floats, half_way_mm: Floats, reach_mm: float) -> float:
    """The relief for ``relief = "auto"``, mm: `COVERAGE` spreads half way in the gap that is known least.

    Parameters
    ----------
    section_heights_mm : (k,) float64
        Rising.
    half_way_mm : (k − 1,) float64
        Standard uncertainty half way in each gap.
    reach_mm : float
        Gaps that begin above this do not count.
    """
    begun = section_heights_mm[:-1] < reach_mm
    if not begun.any():
        return 0.0
    wanted = COVERAGE * float(half_way_mm[begun].max())
    return float(min(np.ceil(np.round(wanted / STEP_MM, 6)) * STEP_MM, MOST_MM))
