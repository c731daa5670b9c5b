"""Side profiles that contradict one another, do not reach a section, or reach above the thing."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from cradle.errors import SectionError
from cradle.finding import About, Finding, doubt, in_mm, note
from cradle.names import section_words
from cradle.sections.axis_words import SIZES
from cradle.sections.profiles import Profiles, extent_at
from cradle.sections.section import Section

_OVER_SHARE: Final = 0.03
"""A profile or a view may reach above the overall height by this part of it, as a view's own size is no surer (our own choice) ..."""
_OVER_MM: Final = 2.0
"""... or by this, if it is more."""


def check_profiles(profiles: Profiles) -> None:
    """Raise unless front lies before back and left of right.

    Raises
    ------
    SectionError
        With the profile and the height.
    """
    for low, high in profiles.pairs:
        heights = np.union1d(low.points_mm[:, 0], high.points_mm[:, 0])
        shared = heights[low.reaches(heights) & high.reaches(heights)]
        first, second = low.at(shared), high.at(shared)
        wrong = np.flatnonzero(first >= second)
        if wrong.size:
            k = int(wrong[0])
            raise SectionError(
                f"at height {shared[k]:g} mm the {low.side} profile ({first[k]:g} mm) does not lie below the "
                f"{high.side} profile ({second[k]:g} mm)",
                where=f"side.{low.side}",
                hint="y grows away from the viewer and x to the right, and both count from one line; perhaps each counts from "
                "a line of its own, or the two files are swapped or one and the same, or both count from a square behind the "
                "thing or on its right: then write the distances with a minus",
            )


def silent_profiles(sections: tuple[Section, ...], *, profiles: Profiles) -> Iterator[Finding]:
    """A note where the profiles of an axis do not reach a section."""
    for section in sections:
        for axis in (1, 0):
            given = any(profile.side.axis == axis for profile in profiles.known)
            at = extent_at(profiles, axis=axis, height_mm=section.height_mm)
            if given and at == (None, None):
                yield note(
                    "profile-silent",
                    f"no profile or view that shows the {SIZES[axis]} reaches this section, at "
                    f"{section.height_mm:g} mm; it was placed without them",
                    where=section_words(section.name),
                )


def too_high_profiles(profiles: Profiles, *, overall_mm: float | None) -> Iterator[Finding]:
    """A warning where a profile, read or seen in a view, reaches above the thing's overall height."""
    known = profiles.known
    if overall_mm is None or not known:
        return
    highest = max(known, key=lambda profile: profile.high_mm)
    limit = overall_mm + max(_OVER_MM, _OVER_SHARE * overall_mm)
    if highest.high_mm <= limit:
        return
    yield doubt(
        "profile-too-high",
        f"the {highest.side} side, as a profile or a view shows it, reaches up to {highest.high_mm:.1f} mm, "
        f"but the thing is {overall_mm:g} mm high",
        "measure the overall height again, or the profile's heights; of a view say how far the lens was (distance), "
        "take it from farther away, or give the heights of its lowest edge (bottom) and of its highest (top)",
        where=f"side.{highest.side}",
        about=About.READING,
        **in_mm(highest.high_mm, limit=limit),
    )
