"""Side profiles of hundreds of points that run to and fro: smoothed to their form, as outlines are.

A drawing traced along a side has as many points as an outline. The skin follows
each of them, so that what is noise would become a layer of it, and a body of
thousands of layers takes minutes.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from cradle.capture.texture import few_along, form_of
from cradle.finding import Finding, in_mm, note
from cradle.geometry.arrays import Floats, frozen
from cradle.pictures.smooth import smoothed_path
from cradle.sections.profiles import Profile, Profiles

_PLENTY: Final = 200
"""A profile that needs no more points is taken as it is: one read by hand has fewer."""
_SPARED: Final = 0.5
"""Where smoothing leaves no more than this part of them, the rest were noise."""


def smoothed_profiles(profiles: Profiles) -> tuple[Profiles, list[Finding]]:
    """The profiles, those that are rough smoothed, with a note on each of these."""
    points = {profile.side: profile.points_mm for profile in profiles.known}
    found = []
    for profile in profiles.known:
        form = form_of(profile.points_mm, smooth=_smoothed, fewer=few_along, plenty=_PLENTY, spared=_SPARED)
        if form is not None:
            smooth = Profile(side=profile.side, points_mm=frozen(form))
            points[profile.side] = smooth.points_mm
            found.append(_told(profile, smooth))
    return (Profiles(**points) if found else profiles), found


def _smoothed(points: Floats, /, *, grain_mm: float) -> Floats:
    """The profile smoothed, without points that are no higher than one before them."""
    path = smoothed_path(points, grain_mm=grain_mm)
    highest = np.maximum.accumulate(path[:, 0])
    return path[np.concatenate([[True], highest[1:] > highest[:-1]])]


def _told(profile: Profile, smooth: Profile) -> Finding:
    heights, reach = profile.points_mm.T
    moved_mm = float(np.median(np.abs(smooth.at(heights) - reach)))
    return note(
        "profile-smoothed",
        f"its {len(profile.points_mm):,} points run to and fro, finer than is printed; smoothed, {len(smooth.points_mm):,} are "
        f"enough: they move by {moved_mm:.2f} mm in the median",
        where=f"side.{profile.side}",
        **in_mm(moved_mm),
    )
