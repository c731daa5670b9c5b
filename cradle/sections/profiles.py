"""Side profiles: what they say at a height, and whether they agree with the sections."""

from __future__ import annotations

import numpy as np

from cradle.errors import SectionError
from cradle.finding import Finding, Severity
from cradle.names import section_words
from cradle.project.side import PAIRS
from cradle.sections.section import Profiles, Section


def extent_at(profiles: Profiles, *, axis: int, height_mm: float) -> tuple[float | None, float | None]:
    """The least and the greatest coordinate along an axis at a height, mm; None where the profiles are silent."""
    low, high = (
        float(profile.at(height_mm)) if profile and profile.reaches(height_mm) else None
        for profile in map(profiles.of, PAIRS[axis])
    )
    return low, high


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
                hint="y grows away from the viewer and x to the right; perhaps the two files are swapped, or "
                "both count from a square behind the thing or on its right: then write the distances with a minus",
            )


def silent_profiles(sections: tuple[Section, ...], *, profiles: Profiles) -> tuple[Finding, ...]:
    """A note where the profiles of an axis do not reach a section."""
    findings = []
    for section in sections:
        for axis, word in ((1, "depth"), (0, "width")):
            given = any(profile.side.axis == axis for profile in profiles.known)
            at = extent_at(profiles, axis=axis, height_mm=section.height_mm)
            if given and at == (None, None):
                findings.append(
                    Finding(
                        code="profile-silent",
                        severity=Severity.NOTE,
                        where=section_words(section.name),
                        message=f"the side profiles for the {word} do not reach this section, at "
                        f"{section.height_mm:g} mm; it was placed without them",
                    )
                )
    return tuple(findings)
