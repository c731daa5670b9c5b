"""Side profiles steer what lies between the sections.

A profile says how far the thing reaches to one side at every height. Where it
disagrees with the sections themselves, the sections win: its deviation there,
straight between sections, is taken off first. Along each axis one profile
shifts a ring, a pair shifts and stretches it. Beyond the ends of a profile
its last correction fades out towards the next section.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from cradle.errors import LoftError
from cradle.geometry.arrays import Floats
from cradle.sections.section import Profiles

Rings = Callable[[Floats], Floats]
"""Rings ``(m, n, 2)`` at heights ``(m,)``, mm."""


def steers(profiles: Profiles) -> bool:
    """Whether any profile is given."""
    return any(p is not None for p in (profiles.front, profiles.back, profiles.left, profiles.right))


def steered(unsteered: Rings, profiles: Profiles, *, section_heights_mm: Floats) -> Rings:
    """The rings led along the profiles, unchanged at the sections.

    Parameters
    ----------
    unsteered : callable
        Rings at heights, within the sections' range.
    profiles : Profiles
    section_heights_mm : (k,) float64

    Raises
    ------
    LoftError
        When called at a height where two opposite profiles leave no width.
    """

    def rings(heights: Floats) -> Floats:
        out = np.array(unsteered(heights))
        for axis, (low, high) in enumerate(
            ((profiles.left, profiles.right), (profiles.front, profiles.back))
        ):
            if low is None and high is None:
                continue
            least, greatest = out[:, :, axis].min(axis=1), out[:, :, axis].max(axis=1)
            down = _correction(low, unsteered, heights, section_heights_mm, axis=axis, side=-1)
            up = _correction(high, unsteered, heights, section_heights_mm, axis=axis, side=1)
            if low is None:
                down = up
            if high is None:
                up = down
            width = greatest + up - least - down
            if (width <= 0).any():
                at = int(np.argmin(width))
                pair = "left and right" if axis == 0 else "front and back"
                raise LoftError(
                    f"the {pair} profiles leave a width of {width[at]:.2f} mm at height {heights[at]:.2f} mm",
                    where="side",
                    hint="check that neither profile is mirrored or shifted",
                )
            stretch = width / (greatest - least)
            out[:, :, axis] = (least + down)[:, None] + (out[:, :, axis] - least[:, None]) * stretch[:, None]
        return out

    return rings


def _correction(
    profile: Floats | None, unsteered: Rings, heights: Floats, sections: Floats, *, axis: int, side: int
) -> Floats:
    """How far one side has to move at each height, ``(m,)``, mm; 0 at every section."""
    if profile is None:
        return np.zeros(len(heights))
    first, last = profile[0, 0], profile[-1, 0]
    within = np.clip(heights, max(first, sections[0]), min(last, sections[-1]))
    covered = sections[(sections >= first) & (sections <= last)]

    def miss(at: Floats) -> Floats:
        reach = (side * unsteered(at)[:, :, axis]).max(axis=1) * side
        return np.asarray(np.interp(at, profile[:, 0], profile[:, 1]) - reach)

    if last <= sections[0] or first >= sections[-1]:
        return np.zeros(len(heights))
    own = np.interp(within, covered, miss(covered)) if len(covered) else np.zeros(len(heights))
    out = miss(within) - own
    below, above = sections[sections < first], sections[sections > last]
    if len(below):  # the profile starts above a section: fade from it
        out = out * np.clip((heights - below[-1]) / (first - below[-1]), 0.0, 1.0)
    if len(above):
        out = out * np.clip((above[0] - heights) / (above[0] - last), 0.0, 1.0)
    return np.where(np.isin(heights, sections), 0.0, out)


def profile_heights(profiles: Profiles, *, low_mm: float, high_mm: float, within_mm: float) -> Floats:
    """Heights of the vertices that the profiles need between two heights, rising, mm.

    Parameters
    ----------
    profiles : Profiles
    low_mm, high_mm : float
        Only heights strictly between them.
    within_mm : float
        Vertices that move a profile by no more than this are left out.
    """
    found = [
        _needed(p, within_mm)
        for p in (profiles.front, profiles.back, profiles.left, profiles.right)
        if p is not None
    ]
    if not found:
        return np.empty(0)
    heights = np.unique(np.concatenate(found))
    return heights[(heights > low_mm) & (heights < high_mm)]


def _needed(profile: Floats, within_mm: float) -> Floats:
    """Heights of the points that a simplified profile keeps (Douglas & Peucker 1973, across only)."""
    height, reach = profile.T
    keep = {0, len(profile) - 1}
    spans = [(0, len(profile) - 1)]
    while spans:
        start, end = spans.pop()
        if end - start < 2:
            continue
        inner = slice(start + 1, end)
        line = np.interp(height[inner], height[[start, end]], reach[[start, end]])
        away = np.abs(reach[inner] - line)
        if away.max() > within_mm:
            middle = start + 1 + int(away.argmax())
            keep.add(middle)
            spans += [(start, middle), (middle, end)]
    return np.asarray(height[sorted(keep)])
