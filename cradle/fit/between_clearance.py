"""Further clearance between sections: room where the shape is a guess, so that the pocket may be snug at the sections."""

from __future__ import annotations

from typing import Final

import numpy as np

from cradle.fit.model import FitModel, drawn
from cradle.fit.uncertainties import Spread
from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.knots import interval_of, part_of_interval
from cradle.pocket.clearance import rounded_up

MOST_BETWEEN_MM: Final = 1.5
"""No more than this is given between two sections: the way in brings it up to the sections above."""
_COVERED: Final = 0.9
"""The further clearance covers the deviations of that gap in nine of ten things; the clearance everywhere the rest."""
_DRAWS: Final = 500
"""With this many draws nine of ten is known to about one in a hundred."""
_NEAR_AN_END: Final = 0.3
"""Places where the further clearance is less than this part of that half way do not decide it."""


def between_clearance_mm(model: FitModel, *, chance: float = _COVERED) -> Floats:
    """The further clearance half way in each gap, ``(k − 1,)``, mm.

    As much as covers the thing's deviation from the loft in that gap in the
    share ``chance`` of draws, but no more than `MOST_BETWEEN_MM`; none in gaps that
    the holder does not reach.
    """
    knots = model.section_heights_mm
    out = np.zeros(max(len(knots) - 1, 0))
    if not len(out):
        return frozen(out)
    influences = model.influences
    xi = drawn(model, draws=_DRAWS) * influences.of(Spread.BETWEEN)
    off = influences.matrix.after(xi) + influences.between_mean_mm
    at = model.places.z_mm
    gap, part = interval_of(knots, at), part_of_interval(knots, at)
    shape = 4 * part * (1 - part)
    for g in range(len(out)):
        own = np.flatnonzero((gap == g) & (shape > _NEAR_AN_END))
        if len(own):
            most = (off[:, own] / shape[own]).max(axis=1)
            out[g] = np.quantile(most, chance)
    return frozen(np.minimum(rounded_up(np.clip(out, 0.0, MOST_BETWEEN_MM)), MOST_BETWEEN_MM))
