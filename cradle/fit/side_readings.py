"""What side profiles tell of a place of the skin: how far the thing reaches to their side, and little more."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from cradle.fit.places import Places
from cradle.geometry.arrays import Bools, Floats
from cradle.sections.profiles import Profiles

_AT_EXTREME: Final = 0.7
"""Part of the spread between sections that a side profile takes away where the skin faces its side squarely."""
_FACING_POWER: Final = 8
"""That part falls with this power of the normal's component towards the side: at 45 degrees hardly any of it is left."""
_NOTHING: Final = 1e-9


def left_by_profiles(places: Places, profiles: Profiles) -> Floats:
    """Share of the spread between sections that side profiles leave at each place, ``(j,)``."""
    left = np.ones(len(places.along))
    for towards, read in _sides(places, profiles):
        left *= 1 - _AT_EXTREME * towards**_FACING_POWER * read
    return left


def unread(places: Places, profiles: Profiles) -> Floats:
    """How much of each place's outward direction, seen from above, no profile reads, ``(j,)``, 0 to 1.

    Where profiles tell the width the whole skin was brought to it, so that of the
    extents only the component across is unknown.
    """
    level = np.linalg.norm(places.normals[:, :2], axis=1)
    known = sum((towards**2 * read for towards, read in _sides(places, profiles)), np.zeros(len(level)))
    return np.sqrt(np.clip(1 - known / np.maximum(level**2, _NOTHING), 0.0, 1.0))


def _sides(places: Places, profiles: Profiles) -> Iterator[tuple[Floats, Bools]]:
    """For each profile how far places face its side, 0 to 1, and whether it reaches their height, ``(j,)`` each."""
    z = places.points_mm[:, 2]
    for profile in profiles.known:
        side = profile.side
        yield np.clip(side.outward * places.normals[:, side.axis], 0.0, None), profile.reaches(z)
