"""Splay: how fast the thing widens downwards where its lowest section was cut, and so may go on to widen below it.

Of 44 scanned household things whose lowest section is cut 2 to 5 mm up, 31
hardly splay (by less than 0.3 mm over the 3 mm above it, in the loft through
true sections and four profiles) and reach out further below it by at most
0.53 mm; of the other 13 half do so by more than 0.78, one by 6.2. Of 75 parts
of robots, bones and tools 50 hardly splay, and reach out by at most 0.3 mm.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from cradle.fit.places import Places
from cradle.geometry.arrays import Floats
from cradle.geometry.region_measures import distances
from cradle.loft.body import Body

_OVER_MM: Final = 3.0
"""Height over which it is taken: about what lies between two readings of a profile."""


def splays(places: Places, *, body: Body, lowest_mm: float) -> Floats:
    """How far the body widens at each place for every mm that it comes down to its lowest section, ``(j,)``.

    0 where it narrows, and for places that do not lie below that section.
    """
    out = np.zeros(len(places.along))
    below = np.flatnonzero(places.z_mm < lowest_mm)
    high_mm = min(lowest_mm + _OVER_MM, float(body.heights_mm[-1]))
    if len(below) and high_mm > lowest_mm:
        there, higher = body.levels_at(np.array([lowest_mm, high_mm]))
        points = places.points_mm[below, :2]
        gained = distances(points, higher) - distances(points, there)
        out[below] = np.maximum(gained, 0.0) / (high_mm - lowest_mm)
    return out
