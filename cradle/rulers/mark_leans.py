"""How a rule's marks lean, each by itself: marks of a surface that rises towards the lens spread apart."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from cradle.geometry.usual import usual_miss
from cradle.rulers.mark_law import peak_places, peaks_near
from cradle.rulers.ruler_strip import profile_of, straight_through

if TYPE_CHECKING:
    from cradle.geometry.arrays import Floats
    from cradle.rulers.ruler_strip import Strip


def widening(strip: Strip, *, sign: int, rows: slice, at: Floats, spacing: float) -> tuple[float, float]:
    """The part by which the spacing of marks grows for each pixel across, and its standard error: infinite where nothing tells.

    Each mark is placed at either end of the rows in which all show. At two marks that are a rule's length apart, a hundredth
    of a degree shows.

    Parameters
    ----------
    sign : int
        -1 of dark marks.
    at : (n,)
        Columns of the strip at which they lie.
    spacing : float
        Columns from one to the next.
    """
    tall = rows.stop - rows.start
    third = tall // 3
    if third == 0:
        return 0.0, float("inf")
    low, high = (
        _peaks(profile_of(strip, sign, part, spacing), at, reach=round(0.25 * spacing))
        for part in (slice(rows.start, rows.start + third), slice(rows.stop - third, rows.stop))
    )
    lean = (high - low) * strip.step / ((tall - third) * strip.rise)
    along = (at - at.mean()) * strip.step
    middle, growth = straight_through(along, lean)
    miss = usual_miss(lean - middle - growth * along)
    return growth, miss / float(np.sqrt(len(at)) * along.std())


def _peaks(profile: Floats, at: Floats, *, reach: int) -> Floats:
    """The places of the highest peaks within ``reach`` samples of each place, ``(n,)``."""
    return peak_places(profile, peaks_near(profile, at, reach=reach))
