"""Side profiles that count from another zero, in another unit or in the other direction than the sections."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from cradle.errors import SectionError
from cradle.finding import About, Finding, doubt, in_mm, in_unit, note
from cradle.geometry.arrays import Floats
from cradle.project.side import PAIRS
from cradle.sections.axis_words import AXES, SIZES
from cradle.sections.laid import Laid, heights_of
from cradle.sections.profiles import Profile, Profiles
from cradle.sections.readings import size_along
from cradle.slips.opposite import Opposite, opposite_profiles
from cradle.units import MISTAKEN_FOR_MM

_APART_MM: Final = 1.0
"""A smaller difference between two profiles' zeros is reading error."""
_NOTED_MM: Final = 0.5
"""How far heights of sections and of readings disagree, each noted to 0.3 (common practice, no source): it matters on a slope."""
_BESIDE_MM: Final = 3.0
"""How far a profile's readings lie apart: near a step between two of them it may show either side of the step."""
_DISTANCES: Final = "distances"
_BOTH_COLUMNS: Final = "heights and distances"
_HEADINGS: Final = {"cm": "height_cm,y_cm", "inches": "height_in,y_in"}
"""A profile's first line that states its unit."""
_UNIT_SHARE: Final = 0.1
"""Profiles in another unit, brought to mm, fit the sections' sizes within this part; taken as mm they miss them by nine tenths or more."""
_OTHER_SCALE: Final = 0.1
"""Profiles whose scale is off by more than this are refused, as such drawings are ..."""
_ALIKE: Final = 0.08
"""... if brought to the sections' scale they miss none by more than this part of the smallest one's size."""
_SHORT: Final = 2.0
"""Of a profile that as it stands ends below all sections but one, and in another unit reaches all, the middles need lie only so much nearer
together (our own choice)."""
_LEANS_DEG: Final = 1.0
"""A lean below this is not worth a line."""


def check_scale(laid: Sequence[Laid], *, profiles: Profiles) -> None:
    """Raise where opposite profiles lie as far apart as the sections are wide or deep in another unit, or at another scale.

    Raises
    ------
    SectionError
        With the unit, or the scale.
    """
    for both in opposite_profiles(laid, profiles=profiles):
        _check_unit(both)
        _check_unit_of_one(both)
        if both.reached.sum() < 2:
            continue
        sizes = both.sizes_mm[both.reached]
        seen = both.apart_mm(both.heights_mm)[both.reached]
        scale = float(np.median(seen / sizes))
        unexplained = float(np.abs(seen / scale - sizes).max())
        if abs(scale - 1.0) > _OTHER_SCALE and unexplained < min(
            _ALIKE * sizes.min(), np.ptp(seen - sizes) / 2
        ):
            raise SectionError(
                f"the {both} profiles lie {100 * scale:.0f} % as far apart as all {len(sizes)} sections "
                f"are {AXES[both.axis].large}",
                where=f"side.{both.low.side}",
                hint="bring them to the sections' scale, or measure them again",
            )


def _check_unit(both: Opposite) -> None:
    """Raise where two opposite profiles fit the sections' heights and sizes in another unit."""
    for unit, mm, what, at in _in_other_units(both.heights_mm):
        reached = both.reach(at)
        apart = (mm * both.apart_mm(at) / both.sizes_mm)[reached]
        if reached.sum() >= 2 and np.abs(apart - 1.0).max() < _UNIT_SHARE:
            raise SectionError(
                f"the {what} of the {both} profiles look as if they were in {unit}: so they "
                f"fit the {SIZES[both.axis]} of {reached.sum()} sections",
                where=f"side.{both.low.side}",
                hint=_rewritten(unit, what),
            )


def _check_unit_of_one(both: Opposite) -> None:
    """Raise where one of two opposite profiles, that reaches fewer sections than the other, fits them in another unit."""
    given = both.reached.sum()
    for unit, mm in MISTAKEN_FOR_MM:
        low, high = (replace(one, points_mm=mm * one.points_mm) for one in (both.low, both.high))
        for profile, in_mm_too in ((low, replace(both, low=low)), (high, replace(both, high=high))):
            reached = in_mm_too.reached
            apart = (in_mm_too.apart_mm(both.heights_mm) / both.sizes_mm)[reached]
            if reached.sum() >= max(2, given + 1) and np.abs(apart - 1.0).max() < _UNIT_SHARE:
                raise SectionError(
                    f"the heights and distances of the {profile.side} profile look as if they were in {unit}: so "
                    f"both profiles fit the {SIZES[both.axis]} of {reached.sum()} sections",
                    where=f"side.{profile.side}",
                    hint=_rewritten(unit, _BOTH_COLUMNS),
                )


def _in_other_units(heights: Floats) -> Iterator[tuple[str, float, str, Floats]]:
    """Each unit that a profile may be in by mistake: its name, its mm, which columns are in it, and the sections' heights as the profile would write them, ``(k,)``."""
    for unit, mm in MISTAKEN_FOR_MM:
        yield unit, mm, _DISTANCES, heights
        yield unit, mm, _BOTH_COLUMNS, heights / mm


def _rewritten(unit: str, what: str) -> str:
    """What to do about a profile in another unit: its first line states one for both columns."""
    stated = (
        "" if what == _DISTANCES else f", or state the unit in the first line of each file: {_HEADINGS[unit]}"
    )
    return f"write them in mm{stated}"


def check_zero_and_sense(laid: Sequence[Laid], *, profiles: Profiles) -> None:
    """Raise unless opposite profiles share a zero and count the same way, as far as the sections' sizes tell.

    Raises
    ------
    SectionError
        With what one profile has to be changed by.
    """
    for both in opposite_profiles(laid, profiles=profiles):
        if both.reached.sum() < 2:
            continue
        words, low, high = AXES[both.axis], both.low.side, both.high.side
        at, sizes = both.heights_mm[both.reached], both.sizes_mm[both.reached]
        a, b = both.low.at(at), both.high.at(at)
        apart, added, summed = b - a - sizes, a + b - sizes, a + b + sizes
        own, off = float(np.ptp(apart)), float(np.median(apart))
        by_zero = float(np.median(_left(apart, both, at=at, within_mm=_NOTED_MM)))
        if abs(by_zero) > _APART_MM and abs(off) > 4 * own:
            raise SectionError(
                f"the {both} profiles were not measured from one line: at all {len(sizes)} sections "
                f"they are {abs(off):.2f} mm {'further apart' if off > 0 else 'closer together'} than the {words.size}",
                where=f"side.{high}",
                hint=f"measure both from one line, or {'subtract' if off > 0 else 'add'} {abs(off):.2f} mm "
                f"{'from' if off > 0 else 'to'} every {words.letter} of {high}",
            )
        unexplained = float(np.ptp(_left(apart, both, at=at, within_mm=_BESIDE_MM)))
        if abs(off) < _APART_MM or min(own, unexplained) < _APART_MM:
            continue
        for name, turned in ((low, added), (high, summed)):
            if float(np.ptp(turned)) < min(own / 3, _APART_MM + 0.02 * float(sizes.max())):
                raise SectionError(
                    f"the {name} profile was measured in the opposite direction: the sections' {words.size}s fit {words.letter} = "
                    f"{float(np.median(turned)):.2f} mm minus the value in the file",
                    where=f"side.{name}",
                    hint=f"{words.letter} grows {words.grows}; if you measured from a "
                    f"square {words.square}, put a minus before each value, all from "
                    "one line",
                )


def _left(apart: Floats, both: Opposite, *, at: Floats, within_mm: float) -> Floats:
    """What is left of the differences from the sections once heights off by up to ``within_mm`` explain what they can: little, at a step."""
    heights = at + np.linspace(-within_mm, within_mm, 13)[:, None]
    change = both.apart_mm(at) - both.apart_mm(heights)
    return apart - np.clip(apart, np.minimum(change.min(axis=0), 0.0), np.maximum(change.max(axis=0), 0.0))


def sense_of_one(laid: Sequence[Laid], *, profiles: Profiles) -> list[Finding]:
    """Findings on profiles that are alone on their axis: the lean that one tells, or that it seems to count in the opposite direction."""
    found = []
    for pair in PAIRS:
        given = [profile for profile in map(profiles.of, pair) if profile]
        if len(given) == 1:
            found.append(_sense(laid, given[0]))
    return [finding for finding in found if finding is not None]


def _sense(laid: Sequence[Laid], profile: Profile) -> Finding | None:
    """The finding on a profile that is alone on its axis; None where nothing is doubtful."""
    side = profile.side
    heights = heights_of(laid)
    halves = side.outward * np.array([size_along(one, axis=side.axis) for one in laid]) / 2
    if told := _in_unit(profile, heights=heights, halves=halves):
        return told
    reached = profile.reaches(heights)
    if reached.sum() < 2:
        return None
    read, half = profile.at(heights[reached]), halves[reached]
    apart, other_way = float(np.ptp(read - half)), float(np.ptp(-read - half))
    words = AXES[side.axis]
    if _explains(apart, other_way):
        return doubt(
            "profile-sense-doubtful",
            f"by this profile the middles of the sections are up to {apart:.1f} mm apart; if it was measured in "
            f"the opposite direction, only {other_way:.1f} mm",
            f"{words.letter} grows {words.grows}; if you measured from a square {words.square}, put a minus before "
            "each value",
            where=f"side.{side}",
            about=About.READING,
            **in_mm(apart, limit=other_way),
        )
    lean_deg = float(np.degrees(np.arctan(np.polyfit(heights[reached], read - half, 1)[0])))
    if abs(lean_deg) < _LEANS_DEG:
        return None
    low, high = PAIRS[side.axis]
    leans, otherwise = (low, high) if lean_deg < 0 else (high, low)
    return note(
        "lean-by-one-profile",
        f"by this profile the thing leans {abs(lean_deg):.1f}° to the {leans}",
        f"if it leans to the {otherwise}, you measured from a square {words.square}: put a minus before each value",
        where=f"side.{side}",
        **in_unit("deg", lean_deg),
    )


def _in_unit(profile: Profile, *, heights: Floats, halves: Floats) -> Finding | None:
    """A warning where a profile would fit the sections far better in another unit; None where it would not.

    ``halves`` is how far each section reaches from its middle to the profile's side, ``(k,)`` mm.
    """
    given = profile.reaches(heights).sum()
    for unit, mm, what, at in _in_other_units(heights):
        reached = profile.reaches(at)
        if reached.sum() < 2 or (what != _DISTANCES and reached.sum() <= given):
            continue
        read, half = profile.at(at)[reached], halves[reached]
        apart = float(np.ptp(read - half))
        other_way = float(np.ptp(mm * read - half))
        short = what != _DISTANCES and given <= 1 and reached.all() and apart > _SHORT * other_way
        if short or _explains(apart, other_way):
            return doubt(
                "profile-unit-doubtful",
                f"this profile's {what} look as if they were in {unit}: so the middles of "
                f"{reached.sum()} sections are at most {other_way:.1f} mm apart, in mm up to {apart:.1f} mm",
                _rewritten(unit, what),
                where=f"side.{profile.side}",
                about=About.READING,
                **in_mm(apart, limit=other_way),
            )
    return None


def _explains(apart_mm: float, other_mm: float) -> bool:
    """Whether the sections' middles lie clearly nearer together if a profile is read in another way (our own choice)."""
    return apart_mm > 3.0 + 3 * other_mm
