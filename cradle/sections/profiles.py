"""Side profiles: what they say at a height, and whether they agree with the sections."""

from __future__ import annotations

import numpy as np

from cradle.errors import SectionError
from cradle.finding import Finding, Severity
from cradle.geometry.arrays import Floats
from cradle.names import section_words
from cradle.project.side import PAIRS, Side
from cradle.sections.section import Profiles, Section


def profile_at(profile: Floats | None, *, height_mm: float) -> float | None:
    """The coordinate of a profile at a height, mm; None outside its heights.

    Linear between the points of the profile, ``(m, 2)``: height, coordinate.
    """
    if profile is None or not profile[0, 0] <= height_mm <= profile[-1, 0]:
        return None
    return float(np.interp(height_mm, profile[:, 0], profile[:, 1]))


def extent_at(profiles: Profiles, *, axis: int, height_mm: float) -> tuple[float | None, float | None]:
    """The least and the greatest coordinate along an axis at a height, mm; None where the profiles are silent."""
    low, high = PAIRS[axis]
    return profile_at(profiles.of(low), height_mm=height_mm), profile_at(
        profiles.of(high), height_mm=height_mm
    )


def sizes_at(profiles: Profiles, *, height_mm: float) -> tuple[float | None, float | None]:
    """Width and depth between opposite profiles at a height, mm; None where one does not reach it."""
    ends = (extent_at(profiles, axis=axis, height_mm=height_mm) for axis in (0, 1))
    width, depth = (None if low is None or high is None or high <= low else high - low for low, high in ends)
    return width, depth


def check_profiles(profiles: Profiles) -> None:
    """Raise unless profiles make sense: heights rise, front lies before back and left of right.

    Raises
    ------
    SectionError
        With the profile and the height.
    """
    for name in Side:
        profile = profiles.of(name)
        if profile is None:
            continue
        if profile.ndim != 2 or profile.shape[1] != 2 or len(profile) < 2:
            raise SectionError(
                f"expected at least 2 pairs of height and coordinate, not {profile.shape}",
                where=f"side.{name}",
            )
        fall = np.flatnonzero(~(np.diff(profile[:, 0]) > 0))
        if fall.size:
            at = int(fall[0])
            raise SectionError(
                f"the height {profile[at + 1, 0]:g} mm is not above the one before it, {profile[at, 0]:g} mm",
                where=f"side.{name}",
                hint="list the profile from bottom to top",
            )
    for low, high in PAIRS:
        a, b = profiles.of(low), profiles.of(high)
        if a is None or b is None:
            continue
        heights = np.union1d(a[:, 0], b[:, 0])
        shared = heights[(heights >= max(a[0, 0], b[0, 0])) & (heights <= min(a[-1, 0], b[-1, 0]))]
        first = np.interp(shared, a[:, 0], a[:, 1])
        second = np.interp(shared, b[:, 0], b[:, 1])
        wrong = np.flatnonzero(first >= second)
        if wrong.size:
            k = int(wrong[0])
            raise SectionError(
                f"at height {shared[k]:g} mm the {low} profile ({first[k]:g} mm) does not lie below the "
                f"{high} profile ({second[k]:g} mm)",
                where=f"side.{low}",
                hint="y grows away from the viewer and x to the right; perhaps the two files are swapped, or "
                "both count from a square behind the thing or on its right: then write the distances with a minus",
            )


def silent_profiles(sections: tuple[Section, ...], *, profiles: Profiles) -> tuple[Finding, ...]:
    """A note where the profiles of an axis do not reach a section."""
    findings = []
    for section in sections:
        for axis, word in ((1, "depth"), (0, "width")):
            given = any(profiles.of(side) is not None for side in PAIRS[axis])
            at = extent_at(profiles, axis=axis, height_mm=section.height_mm)
            if given and at == (None, None):
                findings.append(
                    Finding(
                        code="profile-silent",
                        severity=Severity.NOTE,
                        where=section_words(section.name),
                        message=f"the side profiles for the {word} do not reach the height "
                        f"{section.height_mm:g} mm; the section was placed without them",
                    )
                )
    return tuple(findings)
