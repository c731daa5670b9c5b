"""The same readings given for two neighbouring sides, of which one cannot have them."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from typing import Final

import numpy as np

from cradle.errors import SectionError
from cradle.geometry.arrays import Floats
from cradle.project.side import PAIRS, Side
from cradle.sections.axis_words import SIZES
from cradle.sections.laid import Laid, heights_of
from cradle.sections.profiles import Profiles
from cradle.sections.readings import size_along
from cradle.slips.opposite import Opposite, opposite_profiles

_STRAIGHT_MM: Final = 0.5
"""Two sides that run straight up may read the same: a profile that leaves a straight line by less than this tells nothing."""
_ROUND_MM: Final = 1.0
"""Of a thing whose width and depth differ by the same everywhere, within this, two sides may read the same."""
_MISSES_MM: Final = 2.0
"""Two opposite profiles that miss the sections' width or depth by more than this are not both right (our own choice)."""
_HINT: Final = "give each side its own file, or leave out the side that was not measured"


def check_one_for_two(laid: Sequence[Laid], *, profiles: Profiles) -> None:
    """Raise where two neighbouring sides have the same readings, though one of them cannot have these.

    Either one alone contradicts the profile opposite to it, or the sections'
    width and depth do not grow by the same.

    Raises
    ------
    SectionError
        With both sides.
    """
    heights = heights_of(laid)
    pairs = opposite_profiles(laid, profiles=profiles)
    differ = np.array([size_along(one, axis=0) - size_along(one, axis=1) for one in laid])
    neighbours = (pair for pair in combinations(profiles.known, 2) if pair[0].side.axis != pair[1].side.axis)
    for one, other in neighbours:
        if not np.array_equal(one.points_mm, other.points_mm):
            continue
        same = f"the {one.side} and {other.side} profiles are the same readings, but"
        off = [_off_mm(profile.side, pairs=pairs, differ=differ) for profile in (one, other)]
        wrong = [mm > _MISSES_MM for mm in off]
        if wrong[0] != wrong[1]:
            side = (one if wrong[0] else other).side
            raise SectionError(
                f"{same} between the {' and '.join(PAIRS[side.axis])} profiles the {SIZES[side.axis]} "
                f"of the sections is missed by {max(off):.1f} mm",
                where=f"side.{side}",
                hint=_HINT,
            )
        apart = differ[one.reaches(heights)]
        if apart.size > 1 and np.ptp(apart) > _ROUND_MM and _bow_mm(one.points_mm) >= _STRAIGHT_MM:
            raise SectionError(
                f"{same} width and depth of the sections do "
                f"not run alike: width less depth is {apart.min():z.1f} to {apart.max():z.1f} mm",
                where=f"side.{other.side}",
                hint=_HINT,
            )


def _off_mm(side: Side, *, pairs: Sequence[Opposite], differ: Floats) -> float:
    """By how much a profile and the one opposite miss the sections' width or depth in the median, mm; 0 without an opposite one.

    Where width and depth are equal two sides may truly read the same; then a
    constant difference, as from another zero line, does not count. ``differ`` is
    width less depth of each section.
    """
    both = next((both for both in pairs if both.axis == side.axis), None)
    if both is None or not both.reached.any():
        return 0.0
    off = (both.apart_mm(both.heights_mm) - both.sizes_mm)[both.reached]
    if np.abs(differ[both.reached]).max() <= _ROUND_MM:
        off = off - np.median(off)
    return float(np.median(np.abs(off)))


def _bow_mm(points: Floats) -> float:
    """How far a profile leaves the straight line between its ends, mm."""
    heights, reach = points.T
    return float(np.abs(reach - np.interp(heights, heights[[0, -1]], reach[[0, -1]])).max())
