"""Profiles given to one another's sides, as when two files were taken for each other: only exchanged do they fit the sections."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final, TypeAlias

import numpy as np

from cradle.errors import SectionError
from cradle.names import listed
from cradle.project.side import Side
from cradle.sections.laid import Laid
from cradle.sections.profiles import Profiles
from cradle.slips.opposite import opposite_profiles

_MISSES_MM: Final = 2.0
"""Profiles whose distances miss the sections' width and depth by less than this, as a root mean square, are not doubted."""
_NEARER: Final = 4.0
"""Exchanged, they must miss these by this many times less (our own choice)."""
_Exchange: TypeAlias = tuple[tuple[Side, Side], ...]
"""Pairs of sides; the two of each pair get one another's profile."""
_PAIRS: Final[tuple[_Exchange, ...]] = (
    ((Side.FRONT, Side.RIGHT),),
    ((Side.FRONT, Side.LEFT),),
    ((Side.BACK, Side.RIGHT),),
    ((Side.BACK, Side.LEFT),),
    ((Side.FRONT, Side.LEFT), (Side.BACK, Side.RIGHT)),
    ((Side.FRONT, Side.RIGHT), (Side.BACK, Side.LEFT)),
)
"""The exchanges between neighbouring sides; one between opposite sides is found by `cradle.slips.profile_doubts`."""


def check_exchanged(laid: Sequence[Laid], *, profiles: Profiles) -> None:
    """Raise where the profiles of all four sides fit the sections' width and depth once neighbouring ones are exchanged, and not as they stand.

    Raises
    ------
    SectionError
        With the sides.
    """
    if len(profiles.known) < len(Side):
        return
    as_given = _missed_mm(laid, profiles=profiles)
    if as_given is None or as_given < _MISSES_MM:
        return
    missed = {pairs: _missed_mm(laid, profiles=_exchanged(profiles, pairs)) for pairs in _PAIRS}
    likely = [pairs for pairs, mm in missed.items() if mm is not None and _NEARER * mm <= as_given]
    if len(likely) != 1:
        return
    (pairs,) = likely
    raise SectionError(
        f"{_words(pairs)} seem to be exchanged: as they stand opposite profiles miss the sections' width and depth by "
        f"{as_given:.1f} mm, exchanged by {missed[pairs]:.1f} mm",
        where=f"side.{pairs[0][0]}",
        hint="give each of them the other's file"
        + (
            "; where these are right, width and depth of all sections are exchanged" if len(pairs) > 1 else ""
        ),
    )


def _words(pairs: _Exchange) -> str:
    return listed([f"the {one} and {other} profiles" for one, other in pairs])


def _exchanged(profiles: Profiles, pairs: _Exchange) -> Profiles:
    of = {profile.side: profile.points_mm for profile in profiles.known}
    for one, other in pairs:
        of |= {one: of[other], other: of[one]}
    return replace(profiles, **of)


def _missed_mm(laid: Sequence[Laid], *, profiles: Profiles) -> float | None:
    """By how much the distances of opposite profiles miss the sections' sizes, as a root mean square; None where they do not reach two sections."""
    off = [
        (both.apart_mm(both.heights_mm) - both.sizes_mm)[both.reached]
        for both in opposite_profiles(laid, profiles=profiles)
    ]
    if any(len(one) < 2 for one in off):
        return None
    return float(np.sqrt(np.mean(np.concatenate(off) ** 2)))
