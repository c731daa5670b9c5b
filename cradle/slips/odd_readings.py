"""A reading of a side profile that is far off what its neighbours lead to: a slip, or something small that stands out there."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from cradle.finding import About, Finding, doubt, in_mm
from cradle.geometry.arrays import Floats
from cradle.sections.profiles import Profile, Profiles

_BESIDE: Final = 2
"""This many readings on either side tell what is to be expected between them."""
_STEP: Final = 0.05
"""Two readings are the edges of a step if the way between them is less than this part of that to the next reading."""
_OFF_MM: Final = 1.5
"""A reading nearer than this to what is expected is not told.

Of 612 profiles of 44 scanned household things, read every 2 to 8 mm to within
0.15 mm, one had such a reading; slips of 3 mm are told in 6 to 9 of 10, of 5 mm
in 9 of 10.
"""
_ALONE: Final = 2.0
"""It is told only if it is off by this many times as much as any reading that is none of its neighbours: else the side itself is uneven.

With this and the next rule, waves of 2 to 3.3 readings (3 to 8 mm high) are told of in 0 to
11 of 100 instead of 37 to 100, and slips on those things as before.
"""
_SWINGS: Final = 3
"""It is not told where all others swing to and fro this many times or more, ..."""
_SEEN_BY: Final = 3
"""... with fewer readings to a swing than this: they hardly tell what lies between them."""


def odd_readings(profiles: Profiles) -> Iterator[Finding]:
    """A finding for each profile with an odd reading, on the one that is furthest off."""
    for profile in profiles.known:
        if len(profile.points_mm) <= 2 * _BESIDE:
            continue
        off = _off_mm(profile.points_mm)
        worst = int(np.argmax(np.abs(off)))
        apart = np.abs(np.arange(len(off)) - worst) > _BESIDE
        if abs(off[worst]) < max(_OFF_MM, _ALONE * float(np.abs(off[apart]).max(initial=0.0))):
            continue
        others = np.delete(profile.points_mm[:, 1], worst + _BESIDE)
        swings = _swings(others)
        if swings < _SWINGS or len(others) >= _SEEN_BY * swings:
            yield _told(profile, number=worst + _BESIDE, off_mm=float(off[worst]))


def _swings(reach: Floats) -> int:
    """How often readings run one way, out or in, by `_OFF_MM` or more before they turn by as much; smaller turns do not count."""
    count, low, high = 0, reach[0], reach[0]
    outward = None
    for reading in reach:
        low, high = min(low, reading), max(high, reading)
        if outward is not True and reading >= low + _OFF_MM:
            outward, count, high = True, count + 1, reading
        elif outward is not False and reading <= high - _OFF_MM:
            outward, count, low = False, count + 1, reading
    return count


def _off_mm(points: Floats) -> Floats:
    """How far each reading, except two at either end, is from the nearest prediction of its neighbours, ``(m - 4,)`` mm; 0 between predictions and at steps.

    They predict it four ways: by straight lines from the two below, from the two
    above and between the nearest, and by the cubic through all four. At a step one
    of the lines meets the reading, on a curve the cubic does.
    """
    heights, reach = points.T
    (h0, h1, h, h3, h4), (r0, r1, r, r3, r4) = (
        np.lib.stride_tricks.sliding_window_view(values, 2 * _BESIDE + 1).T for values in (heights, reach)
    )

    def straight(ha: Floats, ra: Floats, hb: Floats, rb: Floats) -> Floats:
        return ra + (rb - ra) * (h - ha) / (hb - ha)

    low, middle, high = straight(h0, r0, h1, r1), straight(h1, r1, h3, r3), straight(h3, r3, h4, r4)
    upper = middle + (high - middle) * (h - h1) / (h4 - h1)
    lower = low + (middle - low) * (h - h0) / (h3 - h0)
    cubic = lower + (upper - lower) * (h - h0) / (h4 - h0)  # Neville's scheme
    off = r - np.array([low, middle, high, cubic])
    step = np.minimum(h - h1, h3 - h) <= _STEP * np.maximum(h - h1, h3 - h)
    alone = ~step & (np.abs(np.sign(off).sum(axis=0)) == len(off))
    least = np.abs(off).min(axis=0)
    return np.where(alone, np.copysign(least, off[0]), 0.0)


def _told(profile: Profile, *, number: int, off_mm: float) -> Finding:
    height, reach = profile.points_mm[number]
    return doubt(
        "profile-reading-odd",
        f"the reading of {reach:z.2f} mm at height {height:g} mm differs by {abs(off_mm):.1f} mm from all that those "
        "below and above it lead to",
        "measure it again; all is well if something small stands out or is let in there",
        where=f"side.{profile.side}",
        about=About.READING,
        **in_mm(off_mm, limit=_OFF_MM),
    )
