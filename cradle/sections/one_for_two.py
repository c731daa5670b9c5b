"""The same readings given for two neighbouring sides of a thing that is not round."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from typing import Final

import numpy as np

from cradle.errors import SectionError
from cradle.geometry.arrays import Floats
from cradle.sections.laid import Laid
from cradle.sections.readings import size_along
from cradle.sections.section import Profiles

_STRAIGHT_MM: Final = 0.5
"""Two sides that run straight up may read the same: a profile that leaves a straight line by less says nothing."""
_ROUND_MM: Final = 1.0
"""Of a thing whose width and depth differ by the same everywhere, within this, two sides may read the same."""


def check_one_for_two(laid: Sequence[Laid], *, profiles: Profiles) -> None:
    """Raise where two neighbouring sides have the same readings, though width and depth do not grow by the same.

    Raises
    ------
    SectionError
        With both sides.
    """
    heights = np.array([one.spec.height_mm for one in laid])
    differ = np.array([size_along(one, axis=0) - size_along(one, axis=1) for one in laid])
    neighbours = (pair for pair in combinations(profiles.known, 2) if pair[0].side.axis != pair[1].side.axis)
    for one, other in neighbours:
        if not np.array_equal(one.points_mm, other.points_mm) or _bow_mm(one.points_mm) < _STRAIGHT_MM:
            continue
        apart = differ[one.reaches(heights)]
        if apart.size > 1 and np.ptp(apart) > _ROUND_MM:
            raise SectionError(
                f"the {one.side} and {other.side} profiles are the same readings, but width and depth of the sections do "
                f"not run alike: width less depth is {apart.min():z.1f} to {apart.max():z.1f} mm",
                where=f"side.{other.side}",
                hint="give each side its own file, or leave out the side that was not measured",
            )


def _bow_mm(points: Floats) -> float:
    """How far a profile leaves the straight line between its ends, mm."""
    heights, reach = points.T
    return float(np.abs(reach - np.interp(heights, heights[[0, -1]], reach[[0, -1]])).max())
