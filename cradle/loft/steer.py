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
    sides = [
        (
            axis,
            [None if p is None else _Side(p, unsteered, section_heights_mm, axis, side) for p, side in pair],
        )
        for axis, pair in enumerate(
            (((profiles.left, -1), (profiles.right, 1)), ((profiles.front, -1), (profiles.back, 1)))
        )
    ]

    def rings(heights: Floats) -> Floats:
        plain = unsteered(heights)
        out = np.array(plain)
        for axis, (low, high) in sides:
            if low is None and high is None:
                continue
            down = low.correction(heights, plain) if low else None
            up = high.correction(heights, plain) if high else None
            down, up = (up if down is None else down), (down if up is None else up)
            least, greatest = plain[:, :, axis].min(axis=1), plain[:, :, axis].max(axis=1)
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
            out[:, :, axis] = (least + down)[:, None] + (plain[:, :, axis] - least[:, None]) * stretch[
                :, None
            ]
        return out

    return rings


class _Side:
    """One profile against the unsteered rings: how far that side has to move."""

    def __init__(self, profile: Floats, unsteered: Rings, sections: Floats, axis: int, side: int) -> None:
        self.profile = profile
        self.unsteered = unsteered
        self.sections = sections
        self.axis = axis
        self.side = side
        first, last = profile[0, 0], profile[-1, 0]
        self.apart = bool(last <= sections[0] or first >= sections[-1])
        self.covered = sections[(sections >= first) & (sections <= last)]
        self.below, self.above = sections[sections < first], sections[sections > last]
        self.own = self.miss(self.covered, unsteered(self.covered)) if len(self.covered) else np.zeros(1)

    def miss(self, heights: Floats, rings: Floats) -> Floats:
        """How far the profile lies beyond the rings, ``(m,)``, mm along the axis."""
        reach = (self.side * rings[:, :, self.axis]).max(axis=1) * self.side
        return np.asarray(np.interp(heights, *self.profile.T) - reach)

    def correction(self, heights: Floats, rings: Floats) -> Floats:
        """How far the side of the unsteered rings has to move, ``(m,)``, mm; 0 at every section."""
        if self.apart:
            return np.zeros(len(heights))
        first, last = self.profile[0, 0], self.profile[-1, 0]
        within = np.clip(heights, max(first, self.sections[0]), min(last, self.sections[-1]))
        if not np.array_equal(within, heights):
            rings = self.unsteered(within)
        nodes = self.covered if len(self.covered) else within[:1]
        out = self.miss(within, rings) - np.interp(within, nodes, self.own)
        if len(self.below):  # the profile starts above a section: fade from it
            out = out * np.clip((heights - self.below[-1]) / (first - self.below[-1]), 0.0, 1.0)
        if len(self.above):
            out = out * np.clip((self.above[0] - heights) / (self.above[0] - last), 0.0, 1.0)
        return np.where(np.isin(heights, self.sections), 0.0, out)


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
