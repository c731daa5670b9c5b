"""Side profiles whose heights count from another plane than the sections' do, in another unit, or from the top downwards."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import Final

import numpy as np

from cradle.errors import SectionError
from cradle.geometry.arrays import Bools, Floats, Ints
from cradle.project.fit import SpreadSpec
from cradle.sections.adjustment import student_t_cost
from cradle.sections.laid import Laid
from cradle.sections.readings import size_along
from cradle.sections.section import Profile, Profiles
from cradle.units import MISTAKEN_FOR_MM

_SHIFTS_MM: Final = np.arange(-40.0, 40.01, 0.5)
"""Offsets common to all heights that are tried."""
_WIDTH_MM: Final = 0.3
"""Spread of a section's width against that between two profiles, heights aside (our own choice)."""
_HEIGHTS_MM: Final = 0.5
"""Spread of these profiles' heights (our own choice)."""
_FREEDOM: Final = 4.0
"""Degrees of freedom of that width (Student's t; our own choice)."""
_NOT_REACHED: Final = 6.0
"""What speaks against heights at which profiles would not reach a section, as a logarithm (our own choice)."""
_FITS: Final = 4.0
"""Spreads within which a section's width fits profiles."""
_CLEAR: Final = 12.0
"""One cause is clearly better than none when the logarithm of the likelihood gains so much."""
_LEAST: Final = 3
"""Fewer sections fit a profile that tapers at some height or other, whichever way it counts."""
_UP, _DOWN = 1.0, -1.0


def check_common_height(laid: Sequence[Laid], *, profiles: Profiles, spread: SpreadSpec) -> None:
    """Raise unless the heights of sections and profiles count from one plane, as far as widths and depths tell.

    Raises
    ------
    SectionError
        If the profiles fit all sections at heights that differ by the same amount.
    """
    used = len(laid) * len(profiles.pairs)
    cost, fitted = _held_against_all(
        laid, pairs=profiles.pairs, at=lambda z: (z + _SHIFTS_MM, z + _SHIFTS_MM), spread=spread
    )
    here = int(np.argmin(np.abs(_SHIFTS_MM)))
    best = int(np.argmin(cost))
    fits = 2 * fitted[best] > used  # not merely out of their reach
    if used >= _LEAST and fits and abs(_SHIFTS_MM[best]) > 2.0 and cost[here] - cost[best] > _CLEAR:
        off = float(_SHIFTS_MM[best])
        raise SectionError(
            f"all {len(laid)} sections would fit the side profiles if the sections' heights were {abs(off):.1f} mm "
            f"{'greater' if off > 0 else 'less'}",
            where="side",
            hint="measure the heights of sections and profiles from the plane the thing rests on: perhaps one set "
            "counts from the table, the other from a plate",
        )


def check_height_unit(laid: Sequence[Laid], *, profiles: Profiles, spread: SpreadSpec) -> None:
    """Raise where side profiles fit all sections only with the sections' heights in another unit.

    Raises
    ------
    SectionError
        With the unit.
    """
    mm = np.array([1.0, *(per for _, per in MISTAKEN_FOR_MM)])
    used = len(laid) * len(profiles.pairs)
    cost, fitted = _held_against_all(laid, pairs=profiles.pairs, at=lambda z: (z * mm, z * mm), spread=spread)
    for (unit, per), less, fits in zip(MISTAKEN_FOR_MM, cost[0] - cost[1:], fitted[1:], strict=True):
        if fits == used >= _LEAST and less > _CLEAR:
            raise SectionError(
                f"the heights of all {len(laid)} sections look as if they were in {unit}: so they fit the side profiles",
                where="side",
                hint=f"write them in mm: each times {per:g}",
            )


def check_counted_upwards(laid: Sequence[Laid], *, profiles: Profiles, spread: SpreadSpec) -> None:
    """Raise where one or both of two opposite profiles fit the sections only when their heights count from the top.

    Raises
    ------
    SectionError
        With the profiles, and the height that theirs seem to count from.
    """
    if len(laid) < _LEAST:
        return
    for low, high in profiles.pairs:
        tops = np.arange(0.0, max(low.high_mm, high.high_mm) + laid[-1].spec.height_mm, 0.5)
        held = partial(_held_against_all, laid, pairs=[(low, high)], spread=spread)
        as_given, _ = held(at=lambda z: (np.array([z]), np.array([z])))
        for ways in ((_DOWN, _DOWN), (_DOWN, _UP), (_UP, _DOWN)):
            cost, fitted = held(at=partial(_counted, tops=tops, ways=ways), ways=ways)
            best = int(np.argmin(cost))
            if fitted[best] == len(laid) and as_given[0] - cost[best] > _CLEAR:
                names = [f"{one.side}" for one, way in zip((low, high), ways, strict=True) if way == _DOWN]
                what = f"{' and '.join(names)} profile{'s' if len(names) > 1 else ''}"
                raise SectionError(
                    f"the heights of the {what} seem to count from the top: so the {('widths', 'depths')[low.side.axis]} "
                    f"of all {len(laid)} sections fit, with the zero at about {tops[best]:.0f} mm",
                    where=f"side.{names[0]}",
                    hint="count heights from the plane the thing rests on: write the overall height minus each",
                )


def _counted(z: float, *, tops: Floats, ways: tuple[float, float]) -> tuple[Floats, Floats]:
    """A height on both profiles, as it is or counted down from each of ``(n,)`` tops, ``(n,)`` each."""
    up = np.full(len(tops), z)
    left, right = (up if way == _UP else tops - z for way in ways)
    return left, right


def _held_against_all(
    laid: Sequence[Laid],
    *,
    pairs: Sequence[tuple[Profile, Profile]],
    at: Callable[[float], tuple[Floats, Floats]],
    ways: tuple[float, float] = (_UP, _UP),
    spread: SpreadSpec,
) -> tuple[Floats, Ints]:
    """What all sizes say against heights, and how many fit there, ``(n,)`` each: at places on both profiles for each section's height."""
    cost = np.zeros(len(at(0.0)[0]))
    fitted = np.zeros(len(cost), dtype=np.int64)
    for pair in pairs:
        for one in laid:
            against, fits = _held_against(one, pair=pair, at=at(one.spec.height_mm), ways=ways, spread=spread)
            cost += against
            fitted += fits
    return cost, fitted


def _held_against(
    one: Laid,
    *,
    pair: tuple[Profile, Profile],
    at: tuple[Floats, Floats],
    ways: tuple[float, float],
    spread: SpreadSpec,
) -> tuple[Floats, Bools]:
    """What a section's size says against its place being there on two opposite profiles, and whether it fits there; ``(n,)`` each.

    ``ways`` says which way each of the two counts its heights.
    """
    low, high = pair
    inside = low.reaches(at[0]) & high.reaches(at[1])
    seen = high.at(at[1]) - low.at(at[0])
    step = high.at(at[1] + ways[1]) - low.at(at[0] + ways[0]) - seen
    sd = np.sqrt(_WIDTH_MM**2 + (step * spread.heights_mm) ** 2 + (step * _HEIGHTS_MM) ** 2)
    missed = (seen - size_along(one, axis=low.side.axis)) / sd
    cost = np.where(inside, student_t_cost(missed, freedom=_FREEDOM) + np.log(sd), _NOT_REACHED)
    return cost, inside & (np.abs(missed) < _FITS)
