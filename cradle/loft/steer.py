"""Side profiles steer what lies between the sections, and below and above them as far as they reach.

A profile says how far the thing reaches to one side at every height. Where it
disagrees with the sections themselves, the sections win: its deviation there,
straight between sections, is taken off first. Along each axis a pair of
profiles shifts and stretches a ring; one alone shifts it. Beyond the sections
profiles only widen: a foot that ends on one side first is cut off there, not
squeezed, and where a thing is narrower than its model it fits all the same.
Beyond the ends of a profile its last correction fades out towards the next
section, and where there is none goes on straight.

Between readings as close as people take them the thing's side is a monotone
curve; where a profile has no point for longer it was drawn straight. Of 19
stacks of scanned household things, three sections each and profiles read every
3 mm, 12 need less clearance than with straight lines between the readings, up
to 0.25 mm at a steep rounded foot, four need more, 0.04 mm at most.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from cradle.errors import LoftError
from cradle.geometry.arrays import Bools, Floats
from cradle.geometry.knots import interval_of
from cradle.geometry.planar import simplified_path
from cradle.geometry.ring import boxes
from cradle.loft.interpolate import cubic_at, monotone_slopes
from cradle.project.side import PAIRS
from cradle.sections.profiles import Profile, Profiles

Extents = Callable[[Floats], Floats]
"""Least and greatest x and y, ``(m, 2, 2)``, at heights ``(m,)``, mm."""

_OFFSET_MM = 1.0
"""A profile that misses a section by more was read too far from it for so steep a side: it has no offset there."""
_READ_MM = 4.0
"""Points of a profile no further apart than this are readings of one curve (people read every 2 to 3 mm)."""


class Steering:
    """Profiles against the unsteered skin: how its rings have to move.

    Parameters
    ----------
    profiles : Profiles
    extents_at : callable
        Extents of the unsteered skin at any height; beyond the sections those of the end sections.
    section_heights_mm : (k,) float64
    """

    def __init__(self, profiles: Profiles, extents_at: Extents, *, section_heights_mm: Floats) -> None:
        self.section_heights_mm = section_heights_mm
        self._sides = [
            [
                None if profile is None else _Side(profile, extents_at, section_heights_mm)
                for profile in map(profiles.of, pair)
            ]
            for pair in PAIRS
        ]

    def asked(self, heights: Floats) -> Floats:
        """Least and greatest x and y that the profiles ask for at heights, ``(m, 2, 2)``, mm; NaN where none is read."""
        out = np.full((len(heights), 2, 2), np.nan)
        for axis, sides in enumerate(self._sides):
            for end, side in enumerate(sides):
                if side is not None:
                    out[:, end, axis] = side.asked(heights)
        return out

    def applied(self, rings: Floats, heights: Floats) -> Floats:
        """The unsteered rings ``(m, n, 2)`` at heights ``(m,)`` led along the profiles, mm.

        They are unchanged at the sections.

        Raises
        ------
        LoftError
            Where two opposite profiles leave no width between the sections.
        """
        beyond = (heights < self.section_heights_mm[0]) | (heights > self.section_heights_mm[-1])
        extents = boxes(rings)
        out = np.array(rings)
        for axis, sides in enumerate(self._sides):
            if not any(sides):
                continue
            down, up = _moves(sides, heights, extents, beyond=beyond)
            least, greatest = extents[:, 0, axis], extents[:, 1, axis]
            width = greatest + up - least - down
            _check_width(width, heights, axis=axis)
            stretch = width / (greatest - least)
            led = (least + down)[:, None] + (rings[:, :, axis] - least[:, None]) * stretch[:, None]
            out[:, :, axis] = np.where(((down == 0) & (up == 0))[:, None], rings[:, :, axis], led)
        return out


def _moves(
    sides: Sequence[_Side | None], heights: Floats, extents: Floats, *, beyond: Bools
) -> tuple[Floats, Floats]:
    """How far the lower and the upper side of rings move, ``(m,)`` each, mm.

    Between the sections a side that no profile reads moves with the opposite one. Beyond them it stays, and sides only move outwards.
    """
    low, high = sides
    moves = [side.correction(heights, extents) for side in sides if side is not None]
    alone = np.where(beyond, 0.0, moves[0])
    down = alone if low is None else moves[0]
    up = alone if high is None else moves[-1]
    return np.where(beyond, np.minimum(down, 0.0), down), np.where(beyond, np.maximum(up, 0.0), up)


def _check_width(width: Floats, heights: Floats, *, axis: int) -> None:
    if (width <= 0).any():
        at = int(np.argmin(width))
        raise LoftError(
            f"by the {' and '.join(PAIRS[axis])} profiles the thing is {width[at]:.2f} mm {('wide', 'deep')[axis]} "
            f"at height {heights[at]:.2f} mm, more than 0 mm is allowed",
            where="side",
            hint="check that neither profile is mirrored or shifted, and that a view shows the thing alone",
        )


class _Side:
    """One profile against the unsteered skin: how far that side has to move.

    Its *offset* is how far it misses the sections themselves. It is known at the sections that the profile reads, runs
    straight between them, and is 0 if it reads none.
    """

    def __init__(self, profile: Profile, extents_at: Extents, sections: Floats) -> None:
        self._extents_at = extents_at
        self._sections = sections
        self._axis = profile.side.axis
        self._end = PAIRS[self._axis].index(profile.side)
        first, last = profile.low_mm, profile.high_mm
        self._reads_nothing_between = bool(last <= sections[0] or first >= sections[-1])
        reached = profile.reaches(sections)
        read, silent = sections[reached], sections[~reached]
        self._sections_below, self._sections_above = silent[silent < first], silent[silent > last]
        skin = extents_at(read)[:, self._end, self._axis] if len(read) else np.zeros(0)
        missed = profile.at(read) - skin
        near = np.abs(missed) <= _OFFSET_MM
        self._offset_heights: Floats = read[near] if near.any() else sections[:1]
        self._offsets: Floats = missed[near] if near.any() else np.zeros(1)
        own = profile.points_mm[~np.isin(profile.points_mm[:, 0], read)]
        points = np.concatenate([own, np.column_stack([read, skin + self._offset(read)])])
        self._points = points[np.argsort(points[:, 0])]
        self._slopes = monotone_slopes(*self._points.T)

    def _offset(self, heights: Floats) -> Floats:
        return np.interp(heights, self._offset_heights, self._offsets)

    def _reach(self, heights: Floats) -> Floats:
        """How far the profile reaches at heights between its ends, ``(m,)``, mm along the axis."""
        at, reach = self._points.T
        step = np.diff(at)[interval_of(at, heights)]
        straight, curved = np.interp(heights, at, reach), cubic_at(at, reach, self._slopes, heights)
        return np.where(step <= _READ_MM, curved, straight)

    def asked(self, heights: Floats) -> Floats:
        """How far the skin is to reach, ``(m,)``, mm; NaN beyond the ends of the profile."""
        within = (heights >= self._points[0, 0]) & (heights <= self._points[-1, 0])
        within &= not self._reads_nothing_between
        return np.where(within, self._reach(heights) - self._offset(heights), np.nan)

    def correction(self, heights: Floats, extents: Floats) -> Floats:
        """How far the side of the unsteered skin has to move, ``(m,)``, mm; 0 at every section."""
        if self._reads_nothing_between:
            return np.zeros(len(heights))
        first, last = self._points[0, 0], self._points[-1, 0]
        within = np.clip(heights, first, last)
        if not np.array_equal(within, heights):
            extents = self._extents_at(within)
        out = self._reach(within) - extents[:, self._end, self._axis] - self._offset(within)
        if len(self._sections_below):  # the profile starts above a section: fade from it
            below = self._sections_below[-1]
            out = out * np.clip((heights - below) / (first - below), 0.0, 1.0)
        if len(self._sections_above):
            above = self._sections_above[0]
            out = out * np.clip((above - heights) / (above - last), 0.0, 1.0)
        return np.where(np.isin(heights, self._sections), 0.0, out)


def led_range(profiles: Profiles, *, low_mm: float, high_mm: float) -> tuple[float, float]:
    """The least and greatest height, mm, between which a pair of profiles leads both sides of the thing.

    Parameters
    ----------
    low_mm, high_mm : float
        Heights of the lowest and highest section, which no pair narrows.
    """
    ends = [(low_mm, high_mm)]
    for one, other in profiles.pairs:
        first, last = max(one.low_mm, other.low_mm), min(one.high_mm, other.high_mm)
        if first < high_mm and last > low_mm:
            ends.append((first, last))
    return min(first for first, _ in ends), max(last for _, last in ends)


def profile_heights(profiles: Profiles, *, low_mm: float, high_mm: float, within_mm: float) -> Floats:
    """Heights of the vertices that the profiles need between two heights, rising, mm.

    Parameters
    ----------
    low_mm, high_mm : float
        Only heights strictly between them.
    within_mm : float
        Vertices that move a profile by no more than this are left out.
    """
    found = [simplified_path(profile.points_mm, within_mm=within_mm)[:, 0] for profile in profiles.known]
    if not found:
        return np.empty(0)
    heights = np.unique(np.concatenate(found))
    return heights[(heights > low_mm) & (heights < high_mm)]
