"""Where to measure next: the heights whose templates would gain most."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Final

import numpy as np

from cradle.fit.gain import Gain, Gains
from cradle.fit.interpolation_error import half_way_shape
from cradle.fit.model import FitModel
from cradle.fit.uncertainties import Spread
from cradle.geometry.arrays import Floats, Ints
from cradle.geometry.knots import interval_of
from cradle.names import listed
from cradle.noun import noun, record

_STEP_MM: Final = 0.5
"""Heights are advised in multiples of this."""
_WIDEST: Final = 3
"""How many of the widest gaps are tried."""
_NEAR_BOTTOM_MM: Final = 2.0
"""A section no higher than this is near the bottom: half way below it no card can be held level, and things round off."""
_MOST: Final = 4
"""At most this many sections are asked for at once: an evening's work."""
_FEW_DRAWS: Final = 500
"""Several sections are chosen by this many draws."""
_GAP_POWER: Final = 0.55
"""The spread between sections falls with this power of the length of the gap.

Simulated on 44 scanned household things measured with a careful hand's errors,
with four side profiles and with none: with this power the gain told of one more
section, half way in a gap, is in the median about what is stated once it is
measured; where there are two sections, with `_LEFT_BY_A_THIRD` besides. Sections
are put where things bend, and between them things still bend: so it falls slowly.
"""
_LEFT_BY_A_THIRD: Final = 0.555
"""Further part of the spread that a third section leaves: it shows much that is guessed from two."""
_LEFT_BEYOND: Final = 0.5
"""Part of the spread beyond the end section that is left at places between that and a new section further out."""
_APART: Final = 7
"""What is to be independent is taken from other draws: those further on by all draws divided by this."""


@record
class NextSections:
    """Heights worth a template, mm, what gains most first, and what they gain together; ``where`` is the first's place."""

    heights_mm: tuple[float, ...]
    where: str
    gain: Gain

    @property
    def first_mm(self) -> float:
        """The height that gains most."""
        return self.heights_mm[0]

    def __str__(self) -> str:
        if len(self.heights_mm) == 1:
            return f"measure one more section at {self.first_mm:g} mm, {self.where} ({self.gain})"
        heights = listed([f"{height:g}" for height in self.heights_mm])
        return f"measure {len(self.heights_mm)} more sections, the most telling first, at {heights} mm ({self.gain})"


def next_sections(model: FitModel, gains: Gains, *, goal: float | None = None) -> NextSections | None:
    """The height whose template would gain most; None where no template would help.

    A template at h parts its gap in two, and brings a tracing error of its
    own; candidates are the middles of the widest gaps, half way below the
    lowest section, and the upper end of the reach.

    Parameters
    ----------
    goal : float, optional
        A chance of fit: where one more section does not reach it, as many as do are
        asked for, at most `_MOST`.
    """
    parts = parts_of(model, gains.xi)

    def gain_of(heights: tuple[float, ...]) -> Gain:
        return gains.of(with_more_sections(model, parts, heights_mm=heights))

    alone = {height: gain_of((height,)) for height in candidates(model, model.section_heights_mm)}
    if not alone:
        return None
    best = max(alone, key=lambda height: alone[height].part)
    if goal is not None and alone[best].after < goal:
        heights = _together(model, parts.of_first(_FEW_DRAWS), gains, goal=goal)
        for count in range(len(heights), 1, -1):
            gain = gain_of(heights[:count])
            if gain.worth(count):
                return NextSections(heights_mm=heights[:count], where=model.place_name(heights[0]), gain=gain)
    if not alone[best].worth():
        return None
    return NextSections(heights_mm=(best,), where=model.place_name(best), gain=alone[best])


def _together(model: FitModel, parts: Parts, gains: Gains, *, goal: float) -> tuple[float, ...]:
    """Heights of new sections, chosen one after the other until a chance is reached: each, with those before, leaves the draws' mean excess least."""
    heights: tuple[float, ...] = ()
    while len(heights) < _MOST:
        known = np.sort(np.concatenate([model.section_heights_mm, heights]))
        tried = []
        for height in candidates(model, known):
            more = (*heights, height)
            tight = gains.tightness_with(with_more_sections(model, parts, heights_mm=more))
            tried.append((float(np.maximum(tight, 0.0).mean()), more, float((tight <= 0).mean())))
        if not tried:
            break
        _, heights, chance = min(tried)
        if chance >= goal:
            break
    return heights


def candidates(model: FitModel, sections_mm: Floats) -> list[float]:
    """Heights that may be worth a template beside sections at ``(k,)`` heights, rising, mm."""
    low, high = float(model.places.heights_mm[0]), float(model.places.heights_mm[-1])
    # a bow grows with the square of its gap
    gaps = np.argsort(-np.diff(sections_mm), kind="stable")[:_WIDEST]
    middles = (sections_mm[gaps] + sections_mm[gaps + 1]) / 2
    tries = [m for m, start in zip(middles, sections_mm[gaps], strict=True) if start < high and m > low]
    if max(low, 0.0) < sections_mm[0] - _STEP_MM and sections_mm[0] > _NEAR_BOTTOM_MM:
        tries.append(max(low, sections_mm[0] / 2))
    if high > sections_mm[-1] + _STEP_MM:
        tries.append(high)
    heights = {round(float(t) / _STEP_MM) * _STEP_MM for t in tries}
    return sorted(t for t in heights if np.abs(sections_mm - t).min() >= _STEP_MM / 2)


@noun
class Parts:
    """The deviations of draws in three parts, ``(draws, j)`` each, mm: of what was measured, of the shape between sections, and the rest."""

    measured: Floats
    between: Floats
    rest: Floats

    def of_first(self, draws: int) -> Parts:
        """The parts of the first ``draws`` draws alone."""
        return Parts(measured=self.measured[:draws], between=self.between[:draws], rest=self.rest[:draws])


def parts_of(model: FitModel, xi: Floats) -> Parts:
    """The parts of the deviations of ``(draws, q)`` draws."""
    influences = model.influences
    between = influences.of(Spread.BETWEEN)
    printer = influences.of(Spread.INSIDE) | influences.of(Spread.REPEAT)
    measured, left_out, printed = (
        influences.matrix.after(np.where(rows, xi, 0.0)) for rows in (~(between | printer), between, printer)
    )
    return Parts(
        measured=measured,
        between=left_out + influences.between_mean_mm,
        rest=printed
        + (influences.mean_mm - influences.between_mean_mm - model.places.room_mm - model.gives_mm),
    )


def with_more_sections(model: FitModel, parts: Parts, *, heights_mm: Sequence[float]) -> Floats:
    """Outward deviation at every place for every draw as it would be with more sections, ``(draws, j)``, mm.

    The errors of a new section are independent of its neighbours', and above it the
    thing leaves the loft independently of below, as in any two gaps: both are
    taken from other draws. With more that is independent there are more places at
    which the thing may be too thick, which undoes much of what smaller gaps gain.
    """
    new = np.sort(np.asarray(heights_mm, dtype=np.float64))
    shares = _shares(model, new)
    share = shares.sum(axis=0)
    # spread of the mean of independent errors of 1 of the sections around
    averaged = np.linalg.norm(model.influences.sections, axis=0)
    measured = np.where(share > 0, (1 - share) / averaged, 1.0) * parts.measured
    for number, own in enumerate(shares, start=1):
        beside = own > 0
        measured[:, beside] += (own / averaged)[beside] * _other(parts.measured[:, beside], number)
    left, order = _left_between(model, new)
    between = parts.between * left
    for number in range(1, int(order.max(initial=0)) + 1):
        above = order == number
        between[:, above] = left[above] * _other(parts.between[:, above], number)
    return np.asarray(measured + between + parts.rest)


def _other(draws: Floats, number: int) -> Floats:
    """The same draws in another order, a different one for each number."""
    return np.roll(draws, 1 + number * len(draws) // _APART, axis=0)


def _shares(model: FitModel, new: Floats) -> Floats:
    """Share of each new section in each place, ``(n, j)``."""
    heights = np.sort(np.concatenate([model.section_heights_mm, new]))
    return np.array([np.interp(model.places.z_mm, heights, (heights == one).astype(float)) for one in new])


def _left_between(model: FitModel, new: Floats) -> tuple[Floats, Ints]:
    """Part of the spread between sections that new ones leave at each place, and how many new ones of its gap lie below it, ``(j,)``.

    Half way in a gap the spread falls less than the gap's length (`_GAP_POWER`); where profiles tell how far the form
    has gone, the length is that of its way.
    """
    knots, places = model.section_heights_mm, model.places
    at, even = places.z_mm, places.even_z_mm
    left, order = _left_beyond(model, new), np.zeros(len(at), dtype=np.int64)
    third = _LEFT_BY_A_THIRD if len(knots) == 2 else 1.0
    gap_of = np.where((at >= knots[0]) & (at <= knots[-1]), interval_of(knots, at), -1)
    for gap, (lower, upper) in enumerate(pairwise(knots.tolist())):
        inside = new[(new > lower) & (new < upper)]
        if not len(inside):
            continue
        ends = np.concatenate([[lower], inside, [upper]])
        even_ends = np.concatenate([[lower], _even_mm(model, inside, low_mm=lower, high_mm=upper), [upper]])
        split = interval_of(ends, at)
        low, high = even_ends[split], even_ends[split + 1]
        old = half_way_shape(even, low_mm=lower, high_mm=upper)
        part = third * ((high - low) / (upper - lower)) ** _GAP_POWER
        in_gap = np.divide(
            part * half_way_shape(even, low_mm=low, high_mm=high),
            old,
            out=np.ones_like(old),
            where=old > 1e-9,
        )
        left = np.where(gap_of == gap, in_gap, left)
        order = np.where(gap_of == gap, (at[:, None] > inside).sum(axis=1), order)
    return np.minimum(left * model.left_by_another, 1.0), order


def _even_mm(model: FitModel, heights_mm: Floats, *, low_mm: float, high_mm: float) -> Floats:
    """The even heights of heights between two sections, one of which may lie beyond the holder's reach, ``(n,)``, mm."""
    at, even = model.places.heights_mm, model.places.even_mm
    within = (at > low_mm) & (at < high_mm)
    return np.interp(heights_mm, [low_mm, *at[within], high_mm], [low_mm, *even[within], high_mm])


def _left_beyond(model: FitModel, new: Floats) -> Floats:
    """Part of the spread beyond the sections that new ones beyond them leave at each place, ``(j,)``; 1 between them."""
    knots, at = model.section_heights_mm, model.places.z_mm
    left = np.ones(len(at))
    for height in new.tolist():
        for outward, end in ((-1.0, knots[0]), (1.0, knots[-1])):
            if outward * (height - end) > 0:
                beyond, further_out = outward * (at - end) > 0, outward * (at - height) > 0
                nearer = np.abs(at - height) / np.maximum(np.abs(at - end), 1e-9)
                own = np.where(further_out, np.minimum(nearer, 1.0), _LEFT_BEYOND)
                left = np.where(beyond, np.minimum(left, own), left)
    return left
