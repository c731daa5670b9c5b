"""Side profiles whose heights count from another plane than the sections' do, in another unit, or from the top downwards."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from cradle.errors import SectionError
from cradle.finding import refusal
from cradle.geometry.arrays import Floats, Ints
from cradle.project.fit import SpreadSpec
from cradle.sections.adjustment import student_t_cost
from cradle.sections.laid import Laid, heights_of
from cradle.sections.profiles import Profiles
from cradle.slips.opposite import Opposite, opposite_profiles
from cradle.slips.swapped_heights import heights_swapped
from cradle.units import MISTAKEN_FOR_MM

_SHIFTS_MM: Final = np.arange(-40.0, 40.01, 0.5)
"""Offsets common to all heights that are tried."""
_WIDTH_MM: Final = 0.3
"""Spread of a section's width against that between two profiles, apart from errors in height (our own choice)."""
_HEIGHTS_MM: Final = 0.5
"""Spread of these profiles' heights (our own choice)."""
_FREEDOM: Final = 4.0
"""Degrees of freedom of that width (Student's t; our own choice)."""
_NOT_REACHED: Final = 6.0
"""Cost of a section that the profiles would not reach, as a natural logarithm (our own choice)."""
_FITS: Final = 4.0
"""A section's width fits the profiles within this many spreads."""
_CLEAR: Final = 12.0
"""Other heights are clearly better if they raise the logarithm of the likelihood by more than this."""
_LEAST_OFF_MM: Final = 1.5
"""Heights that are all off by less are used as they are: how unsure heights are at all allows for them (our own choice)."""
_SMALL_MM: Final = 2.0
_CLEARER: Final = 16.0
"""For heights that are off by no more than that it takes so much: of 636 projects of things whose heights were sound one had a gain of 14."""
_LEAST: Final = 3
"""Fewer sections than this fit a tapering profile at some height or other, whichever way it counts."""
_UP, _DOWN = 1.0, -1.0


def check_heights(laid: Sequence[Laid], *, profiles: Profiles, spread: SpreadSpec) -> None:
    """Raise where opposite profiles fit all sections' sizes only at other heights than stated.

    Raises
    ------
    SectionError
        With the unit of the sections' heights, how far these are off, the two
        that are swapped, or the profiles that count from the top.
    """
    pairs = opposite_profiles(laid, profiles=profiles)
    if len(laid) * len(pairs) < _LEAST:
        return
    heights = heights_of(laid)
    _check_unit(heights, pairs, spread=spread)
    try:
        _check_plane(heights, pairs, spread=spread)
    except SectionError as error:
        swapped = next(heights_swapped(laid, profiles=profiles), None)
        raise (refusal(swapped) if swapped else error) from error
    if len(laid) >= _LEAST:
        for both in pairs:
            _check_counted_upwards(both, spread=spread)


def _check_unit(heights: Floats, pairs: Sequence[Opposite], *, spread: SpreadSpec) -> None:
    mm = np.array([1.0, *(per for _, per in MISTAKEN_FOR_MM)])
    cost, fitted = _held_against(pairs, at=(heights * mm[:, None],) * 2, spread=spread)
    for (unit, per), less, fits in zip(MISTAKEN_FOR_MM, cost[0] - cost[1:], fitted[1:], strict=True):
        if fits == len(heights) * len(pairs) and less > _CLEAR:
            raise SectionError(
                f"the heights of all {len(heights)} sections look as if they were in {unit}: so they fit the side profiles",
                where="side",
                hint=f"write them in mm: each times {per:g}",
            )


def _check_plane(heights: Floats, pairs: Sequence[Opposite], *, spread: SpreadSpec) -> None:
    cost, fitted = _held_against(pairs, at=(heights + _SHIFTS_MM[:, None],) * 2, spread=spread)
    here = int(np.argmin(np.abs(_SHIFTS_MM)))
    best = int(np.argmin(cost))
    off = float(_SHIFTS_MM[best])
    fits = 2 * fitted[best] > len(heights) * len(pairs)  # not merely out of their reach
    clear = _CLEAR if abs(off) > _SMALL_MM else _CLEARER
    if fits and abs(off) >= _LEAST_OFF_MM and cost[here] - cost[best] > clear:
        raise SectionError(
            f"all {len(heights)} sections would fit the side profiles if the sections' heights were about {abs(off):g} mm "
            f"{'greater' if off > 0 else 'less'}",
            where="side",
            hint="measure the heights of sections and profiles from the plane the thing rests on: perhaps one set "
            "counts from the table, the other from a plate or from the lowest section",
        )


def _check_counted_upwards(both: Opposite, *, spread: SpreadSpec) -> None:
    heights = both.heights_mm
    tops = np.arange(0.0, max(both.low.high_mm, both.high.high_mm) + heights[-1], 0.5)
    as_given, _ = _held_against([both], at=(heights[None], heights[None]), spread=spread)
    for ways in ((_DOWN, _DOWN), (_DOWN, _UP), (_UP, _DOWN)):
        low, high = (
            heights + np.zeros((len(tops), 1)) if way == _UP else tops[:, None] - heights for way in ways
        )
        cost, fitted = _held_against([both], at=(low, high), ways=ways, spread=spread)
        best = int(np.argmin(cost))
        if fitted[best] == len(heights) and as_given[0] - cost[best] > _CLEAR:
            names = [
                f"{one.side}" for one, way in zip((both.low, both.high), ways, strict=True) if way == _DOWN
            ]
            what = f"{' and '.join(names)} profile{'s' if len(names) > 1 else ''}"
            raise SectionError(
                f"the heights of the {what} seem to count from the top: so the {('widths', 'depths')[both.axis]} "
                f"of all {len(heights)} sections fit, with the zero at about {tops[best]:.0f} mm",
                where=f"side.{names[0]}",
                hint="count heights from the plane the thing rests on: write the overall height minus each",
            )


def _held_against(
    pairs: Sequence[Opposite],
    *,
    at: tuple[Floats, Floats],
    ways: tuple[float, float] = (_UP, _UP),
    spread: SpreadSpec,
) -> tuple[Floats, Ints]:
    """The cost of heights, a negative logarithm of likelihood, by all sections' sizes, and how many of these fit, ``(n,)`` each.

    Parameters
    ----------
    at : two (n, k) float64
        Heights of the sections on the low profile and on the high one.
    ways : (float, float)
        Which way each of the two counts its heights.
    """
    at_low, at_high = at
    cost, fitted = np.zeros(len(at_low)), np.zeros(len(at_low), dtype=np.int64)
    for both in pairs:
        inside = both.low.reaches(at_low) & both.high.reaches(at_high)
        seen = both.high.at(at_high) - both.low.at(at_low)
        step = both.high.at(at_high + ways[1]) - both.low.at(at_low + ways[0]) - seen
        sd = np.sqrt(_WIDTH_MM**2 + (step * spread.heights_mm) ** 2 + (step * _HEIGHTS_MM) ** 2)
        missed = (seen - both.sizes_mm) / sd
        against = np.where(inside, student_t_cost(missed, freedom=_FREEDOM) + np.log(sd), _NOT_REACHED)
        cost += against.sum(axis=1)
        fitted += (inside & (np.abs(missed) < _FITS)).sum(axis=1)
    return cost, fitted
