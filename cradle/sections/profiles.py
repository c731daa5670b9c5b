"""Side profiles: how far the thing reaches to each side, by height."""

from __future__ import annotations

from typing import Final

import numpy as np

from cradle.geometry.arrays import Bools, Floats
from cradle.geometry.usual import usual_miss
from cradle.noun import noun
from cradle.project.side import PAIRS, Side

_STEP_MM: Final = 2.0
"""A profile's slope is taken over this much to either side."""
_NEAR_MM: Final = 2.0
"""What the sides show up to this far below the lowest and above the highest section still counts."""
_READ_MM: Final = 0.3
"""Heights are read no closer (the usual spread of a section's height): one at 90 mm is reached by a profile up to 3.54 in."""
_NINE_IN_TEN: Final = 1.645
"""Standard deviations that nine in ten normal errors stay within."""
_TELL_WANDER: Final = 5
"""Fewer heights than this do not tell whether a middle runs to and fro."""


@noun
class Profile:
    """How far the thing reaches to one side, by height.

    Attributes
    ----------
    points_mm : (m, 2) float64
        Heights, rising, and the coordinates at them.
    """

    side: Side
    points_mm: Floats

    @property
    def low_mm(self) -> float:
        """The least height it reaches."""
        return float(self.points_mm[0, 0])

    @property
    def high_mm(self) -> float:
        """The greatest height it reaches."""
        return float(self.points_mm[-1, 0])

    def reaches(self, heights_mm: Floats | float) -> Bools:
        """Whether each height lies between its least and its greatest, or no further from these than heights are read."""
        low, high = self.low_mm - _READ_MM, self.high_mm + _READ_MM
        return (low <= np.asarray(heights_mm)) & (heights_mm <= high)

    def at(self, heights_mm: Floats | float) -> Floats:
        """Its coordinate at each height, mm: straight between its points, beyond its ends that of the end."""
        return np.asarray(np.interp(heights_mm, *self.points_mm.T))

    def slope_at(self, height_mm: float) -> float:
        """How far its coordinate changes for each mm of height around one."""
        low, high = max(height_mm - _STEP_MM, self.low_mm), min(height_mm + _STEP_MM, self.high_mm)
        return float(self.at(high) - self.at(low)) / (high - low)


@noun
class Profiles:
    """Side profiles: ``(m, 2)`` arrays of (height, coordinate) in mm, heights rising.

    ``front`` and ``back`` hold the least and greatest y of the thing at a
    height, ``left`` and ``right`` the least and greatest x.
    """

    front: Floats | None = None
    back: Floats | None = None
    left: Floats | None = None
    right: Floats | None = None

    @property
    def given(self) -> bool:
        """Whether any side is known."""
        return bool(self.known)

    @property
    def known(self) -> tuple[Profile, ...]:
        """The profiles of all known sides."""
        return tuple(profile for side in Side if (profile := self.of(side)))

    @property
    def pairs(self) -> tuple[tuple[Profile, Profile], ...]:
        """The pairs of opposite profiles that are both known, the side of the smaller coordinate first."""
        pairs = ((self.of(low), self.of(high)) for low, high in PAIRS)
        return tuple((low, high) for low, high in pairs if low and high)

    @property
    def unseen(self) -> tuple[Side, ...]:
        """The sides that are not known."""
        return tuple(side for side in Side if self.of(side) is None)

    def known_to_mm(self, side: Side) -> float:
        """The greatest height at which a side and the one opposite to it are known, mm; 0 where they are not a pair."""
        return max(
            (min(low.high_mm, high.high_mm) for low, high in self.pairs if side in (low.side, high.side)),
            default=0.0,
        )

    def of(self, side: Side) -> Profile | None:
        """The profile of one side; None where it was not read."""
        points: Floats | None = getattr(self, side)
        return None if points is None else Profile(side=side, points_mm=points)


def wander_mm(
    profiles: Profiles, *, axis: int, between_mm: tuple[float, float], read_mm: tuple[float, float]
) -> float | None:
    """How far the middle between opposite profiles runs to and fro beside a straight line, mm; None where they do not tell.

    As one standard deviation, with the errors of reading taken off. It is
    estimated from the median distance from the line, or from the distance within
    which nine in ten lie if that gives more: so a slip hardly counts and a step does.

    Parameters
    ----------
    between_mm : (float, float)
        Heights of the lowest and highest section: readings between them, or little beyond, count.
    read_mm : (float, float)
        Standard uncertainty of a reading of either.
    """
    low, high = (profiles.of(side) for side in PAIRS[axis])
    if low is None or high is None:
        return None
    read = np.union1d(low.points_mm[:, 0], high.points_mm[:, 0])
    within = (between_mm[0] - _NEAR_MM <= read) & (read <= between_mm[1] + _NEAR_MM)
    heights = read[within & low.reaches(read) & high.reaches(read)]
    if len(heights) < _TELL_WANDER:
        return None
    middles = (low.at(heights) + high.at(heights)) / 2
    off = np.abs(middles - np.polyval(np.polyfit(heights, middles, 1), heights))
    seen = max(usual_miss(off), float(np.quantile(off, 0.9)) / _NINE_IN_TEN)
    return float(np.sqrt(max(seen**2 - (read_mm[0] ** 2 + read_mm[1] ** 2) / 4, 0.0)))


def extent_at(profiles: Profiles, *, axis: int, height_mm: float) -> tuple[float | None, float | None]:
    """The least and the greatest coordinate along an axis at a height, mm; None where the profiles are silent."""
    low, high = (
        float(profile.at(height_mm)) if profile and profile.reaches(height_mm) else None
        for profile in map(profiles.of, PAIRS[axis])
    )
    return low, high
