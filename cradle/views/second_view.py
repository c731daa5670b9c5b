"""A view of sides that are known already: it is not used, but held against what is known of them.

From far away a thing's back shows the same ends as its front, exchanged. A view
that agrees better the other way round was taken from the opposite side, or is a
mirrored picture; or what was believed in its place was.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Final

import numpy as np

from cradle.errors import SectionError
from cradle.finding import About, Finding, doubt, in_mm, note
from cradle.geometry.arrays import Floats
from cradle.project.side import Side
from cradle.sections.profiles import Profile
from cradle.sections.reading_spreads import VIEW_MM, ExtentSpread

_DOUBTED: Final = 2.0
"""Nothing is said unless its middles miss the known ones by this many spreads."""


def held_against(
    where: str,
    extents: Callable[[], tuple[Floats, Floats, ExtentSpread, Finding]],
    *,
    known: tuple[Profile, Profile],
    seen: Mapping[Side, ExtentSpread],
) -> Iterator[Finding]:
    """A note that a view is not used, as its sides are known already, and a warning where it shows their mirror image.

    Parameters
    ----------
    extents : callable
        Gives what the view shows: the least and the greatest coordinate at
        heights, each ``(m, 2)``, mm, their spread, and a note.
    known : (Profile, Profile)
        Of the same two sides.
    seen : mapping
        How sure the sides are that another view showed.
    """
    low, high = known
    from_views = sum(profile.side in seen for profile in known)
    sources = ("their profiles", "a profile and another view", "another view")
    yield note(
        "view-not-needed",
        f"the {low.side} and {high.side} sides are known already, from {sources[from_views]}; this view is not used",
        where=where,
    )
    try:
        least, greatest, spread, _ = extents()
    except SectionError:  # it shows something else, and is not used
        return
    heights = least[:, 0]
    both = low.reaches(heights) & high.reaches(heights)
    if np.count_nonzero(both) < 2:
        return
    heights = heights[both]
    shown = ((least + greatest) / 2)[both, 1]
    middles = (low.at(heights) + high.at(heights)) / 2
    off, mirrored = float(np.std(shown - middles)), float(np.std(-shown - middles))
    tilts = [spread.tilt_rad, *[seen[profile.side].tilt_rad for profile in known if profile.side in seen][:1]]
    sure_mm = float(np.hypot(VIEW_MM, np.hypot.reduce(tilts) * np.std(heights)))
    if off <= _DOUBTED * sure_mm or mirrored > off / 2:
        return
    yield doubt(
        "view-mirrored",
        f"it shows the mirror image of what {sources[from_views]} show"
        f"{'s' if from_views == 2 else ''} of the {low.side} and {high.side} sides: it is off by {off:.1f} mm",
        'check from which side each was taken ("from"), and that no picture is mirrored',
        where=where,
        about=About.READING,
        **in_mm(off, limit=_DOUBTED * sure_mm),
    )
