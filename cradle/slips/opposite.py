"""Two opposite profiles beside the sections that both of them reach."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cradle.geometry.arrays import Bools, Floats
from cradle.noun import noun
from cradle.sections.laid import Laid, heights_of
from cradle.sections.profiles import Profile, Profiles
from cradle.sections.readings import size_along


@noun
class Opposite:
    """Two opposite profiles, and the sections they are compared with.

    Attributes
    ----------
    low, high : Profile
        Where the coordinate is least, and where it is greatest.
    heights_mm, sizes_mm : (k,) float64
        Of all sections, and how large these are from one side to the other.
    """

    low: Profile
    high: Profile
    heights_mm: Floats
    sizes_mm: Floats

    @property
    def axis(self) -> int:
        """0 for left and right, 1 for front and back."""
        return self.low.side.axis

    def __str__(self) -> str:
        return f"{self.low.side} and {self.high.side}"

    @property
    def reached(self) -> Bools:
        """Which of the sections both profiles reach, ``(k,)``."""
        return self.reach(self.heights_mm)

    def reach(self, heights_mm: Floats) -> Bools:
        """Whether both profiles reach each height."""
        return self.low.reaches(heights_mm) & self.high.reaches(heights_mm)

    def apart_mm(self, heights_mm: Floats) -> Floats:
        """How far apart the two profiles are at each height."""
        return self.high.at(heights_mm) - self.low.at(heights_mm)


def opposite_profiles(laid: Sequence[Laid], *, profiles: Profiles) -> tuple[Opposite, ...]:
    """Every pair of opposite profiles that are both known, beside the sections."""
    heights = heights_of(laid)
    return tuple(
        Opposite(
            low=low,
            high=high,
            heights_mm=heights,
            sizes_mm=np.array([size_along(one, axis=low.side.axis) for one in laid]),
        )
        for low, high in profiles.pairs
    )
