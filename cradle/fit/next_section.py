"""Where to measure next: the height whose template would gain most."""

from __future__ import annotations

from typing import Final

import numpy as np

from cradle.fit.gain import Gain, Gains
from cradle.fit.interpolation_error import half_way_shape
from cradle.fit.model import FitModel
from cradle.fit.uncertainties import Spread
from cradle.geometry.arrays import Bools, Floats
from cradle.geometry.knots import interval_of
from cradle.noun import noun, record

_STEP_MM: Final = 0.5
"""Heights are advised in multiples of this."""
_MOST: Final = 3
"""Widest gaps that are tried."""
_NEAR_BOTTOM_MM: Final = 5.0
"""A section no higher is near the bottom: still lower things round off so fast that a template there tells nothing."""
_GAP_POWERS: Final = (1.4, 0.55)
"""How the spread between sections falls with the length of the gap: with two sections, and with more.

Simulated on 44 scanned household things measured with a careful hand's errors,
with four side profiles and with none: with these powers the gain told of one
more section, half way in a gap, is in the median about what is stated once it
is measured. Beside two sections much is guessed that a third one shows; later
ones are put where things bend, and what is left bends on.
"""
_LEFT_BEYOND: Final = 0.5
"""Part of the spread beyond the sections that is left where a section more lies still further out."""


@record
class NextSection:
    """A height worth a template, and what it gains."""

    height_mm: float
    where: str
    gain: Gain

    def __str__(self) -> str:
        return f"measure one more section at {self.height_mm:g} mm, {self.where} ({self.gain})"


def next_section(model: FitModel, gains: Gains) -> NextSection | None:
    """The height whose template would gain most; None where no template would help.

    A template at h parts its gap in two, and brings a tracing error of its
    own; candidates are the middles of the widest gaps, half way below the
    lowest section, and the upper end of the reach.

    Parameters
    ----------
    gains : Gains
        Of this model, at a clearance.
    """
    best: NextSection | None = None
    parts = parts_of(model, gains.xi)
    for height in candidates(model):
        gain = gains.of(with_section(model, parts, height_mm=height))
        if gain is not None and (best is None or gain.part > best.gain.part):
            best = NextSection(height_mm=height, where=model.place_name(height), gain=gain)
    return best


def candidates(model: FitModel) -> list[float]:
    """Heights that may be worth a template, rising, mm."""
    low, high = float(model.places.heights_mm[0]), float(model.places.heights_mm[-1])
    knots = model.section_heights_mm
    gaps = np.argsort(-np.diff(knots), kind="stable")[:_MOST]  # a bow grows with the square of its gap
    middles = (knots[gaps] + knots[gaps + 1]) / 2
    tries = [m for m, start in zip(middles, knots[gaps], strict=True) if start < high and m > low]
    if max(low, 0.0) < knots[0] - _STEP_MM and knots[0] > _NEAR_BOTTOM_MM:
        tries.append(max(low, knots[0] / 2))
    if high > knots[-1] + _STEP_MM:
        tries.append(high)
    return sorted({round(float(t) / _STEP_MM) * _STEP_MM for t in tries})


@noun
class Parts:
    """What the deviations of draws come from, ``(draws, j)`` each, mm: how it was measured, the shape between, the rest."""

    measured: Floats
    between: Floats
    rest: Floats


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
        rest=printed + (influences.mean_mm - influences.between_mean_mm - model.places.room_mm),
    )


def with_section(model: FitModel, parts: Parts, *, height_mm: float) -> Floats:
    """Outward deviation at every place for every draw as it would be with one more section, ``(draws, j)``, mm.

    The new section is measured as independently as its neighbours were, and
    how far the thing leaves the loft above it is as independent of below as
    in any two gaps: both are taken from another draw, the last for the first.
    There are then more places at which the thing may be too thick, which undoes
    much of what smaller gaps gain.
    """
    share = _share(model, height_mm=height_mm)
    averaged = np.linalg.norm(model.influences.sections, axis=0)  # of independent errors of 1 of those around
    own = np.where(share > 0, (1 - share) / averaged, 1.0)
    measured = own * parts.measured + share / averaged * parts.measured[::-1]
    left, above = _left_between(model, height_mm=height_mm)
    return measured + left * np.where(above, parts.between[::-1], parts.between) + parts.rest


def _share(model: FitModel, *, height_mm: float) -> Floats:
    """Share of a new section in each place, ``(j,)``."""
    heights = np.sort(np.append(model.section_heights_mm, height_mm))
    return np.interp(model.places.z_mm, heights, (heights == height_mm).astype(float))


def _left_between(model: FitModel, *, height_mm: float) -> tuple[Floats, Bools]:
    """Part of the spread between sections that a new one leaves at each place, and which lie above it in its gap, ``(j,)``.

    Half way in a gap the spread falls less than the gap's length (`_GAP_POWERS`); where profiles tell how far the form
    has gone, the length is that of its way.
    """
    knots, places = model.section_heights_mm, model.places
    at, even = places.z_mm, places.even_z_mm
    gap = int(interval_of(knots, np.array(height_mm)))
    ends = np.sort([knots[gap], knots[gap + 1], height_mm])
    split = interval_of(ends, at)
    even_ends = np.array([ends[0], np.interp(ends[1], places.heights_mm, places.even_mm), ends[2]])
    low, high = even_ends[split], even_ends[split + 1]
    old = half_way_shape(even, low_mm=knots[gap], high_mm=knots[gap + 1])
    new = half_way_shape(even, low_mm=low, high_mm=high)
    power = _GAP_POWERS[0] if len(knots) == 2 else _GAP_POWERS[1]
    part = ((high - low) / (knots[gap + 1] - knots[gap])) ** power
    within = (at >= knots[0]) & (at <= knots[-1]) & (interval_of(knots, at) == gap)
    in_gap = np.divide(part * new, old, out=np.ones_like(old), where=old > 1e-9)
    left = np.where(within, in_gap, _left_beyond(model, height_mm=height_mm))
    above = within & (knots[0] < height_mm) & (at > height_mm)
    return np.minimum(left * model.left_by_another, 1.0), above


def _left_beyond(model: FitModel, *, height_mm: float) -> Floats:
    """Part of the spread beyond the sections that a new one beyond them leaves at each place, ``(j,)``; 1 between them."""
    knots, at = model.section_heights_mm, model.places.z_mm
    left = np.ones(len(at))
    for outward, end in ((-1.0, knots[0]), (1.0, knots[-1])):
        if outward * (height_mm - end) > 0:
            beyond, further_out = outward * (at - end) > 0, outward * (at - height_mm) > 0
            nearer = np.abs(at - height_mm) / np.maximum(np.abs(at - end), 1e-9)
            left = np.where(beyond, np.where(further_out, np.minimum(nearer, 1.0), _LEFT_BEYOND), left)
    return left
