"""How large the thing was taken to be where a piece was tried: measured anew since, the piece has another gap to it.

A ring keeps its inside width. If the thing is 0.2 mm wider than was believed
when the ring was cut with 0.3 mm per side, what was seen was seen with 0.2 mm.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from cradle.fit.model import FitModel
from cradle.project.convert import Pair
from cradle.project.trial_log import Trial

SAME_MM: Final = 0.05
"""Widths that differ by no more are one: half of what test rings differ by at least."""


def size_there_mm(model: FitModel, *, section: str | None, height_mm: float | None) -> Pair | None:
    """Width and depth that the thing is taken to have at a section or a height, mm; None where it is neither."""
    if section in model.names:
        size = model.section_sizes_mm[model.names.index(section)]
    elif section is None and height_mm is not None:
        size = [np.interp(height_mm, model.section_heights_mm, one) for one in model.section_sizes_mm.T]
    else:
        return None
    return round(float(size[0]), 2), round(float(size[1]), 2)


def grown_mm(model: FitModel, trial: Trial) -> float:
    """How much less gap per side the tried piece has to the thing as it is measured now, mm; 0 where that is the same.

    It is that of the side with least room, which decides how the piece goes on.
    """
    size = size_there_mm(model, section=trial.section, height_mm=trial.height_mm)
    if size is None or trial.size_mm is None:
        return 0.0
    grown = [now - then for now, then in zip(size, trial.size_mm, strict=True)]
    return max(grown) / 2 if max(map(abs, grown)) > SAME_MM else 0.0
