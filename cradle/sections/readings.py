"""What was read of the thing: caliper readings, girths and side profiles, as observations; and the step they were rounded to, as their digits show."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import chain
from typing import Final

import numpy as np

from cradle.finding import Finding, in_mm, note
from cradle.geometry.arrays import Floats, following
from cradle.geometry.planar import hull_ring
from cradle.geometry.ring import size
from cradle.geometry.vectors import left_of, lengths
from cradle.project.fit import SpreadSpec
from cradle.project.section import MeasuredSource
from cradle.project.side import PAIRS, Side
from cradle.sections import reading_spreads as spreads
from cradle.sections.laid import Laid, Lying
from cradle.sections.observations import HEAVY, Evaluate, Observation, Terms, Unknowns, of, sum_of
from cradle.sections.posterior import CALIPERS, PARAMETERS, SCALE_X, TURN, ReadingKind
from cradle.sections.profiles import Profile, Profiles
from cradle.sections.reading_spreads import ExtentSpread
from cradle.units import MM_PER_INCH

_NO_VIEW_RAD: Final = 1e-6
"""Spread that holds the tilt at 0 where there is no view."""
_STEPS: Final = (
    (MM_PER_INCH / 16, "sixteenths of an inch"),
    (1.0, "whole millimetres"),
    (MM_PER_INCH / 32, "parts of 1/32 inch"),
    (0.5, "half millimetres"),
    (MM_PER_INCH / 64, "parts of 1/64 inch"),
)
"""Steps that rules are divided into, mm, with words for them; the coarsest first."""
_ENOUGH: Final = 4
"""Fewer different readings than this may be multiples of a step by chance: of those to 0.01 mm one in a hundred is a whole millimetre."""
_SAME_MM: Final = 0.013
"""A reading this near to a multiple of a step is one: half a thousandth of an inch, as 1 1/16 in is written 1.063."""


def calipers(laid: Sequence[Laid], *, spread: SpreadSpec) -> list[Observation]:
    """Width, depth and girth of every section, where read."""
    unknowns = Unknowns(sections=len(laid))
    found: list[Observation] = []
    hand = spreads.reading_mm(spread)
    for i, one in enumerate(laid):
        trace = 0.0 if one.exact else spread.trace_mm
        for axis, reading in enumerate(readings_of(one)):
            if reading is not None:
                found.append(
                    Observation(
                        kind=CALIPERS[axis],
                        section=i,
                        evaluate=_extent(i, axis=axis, reading=reading, own_error=unknowns.calipers),
                        spread=spreads.combined([hand, trace, trace]),
                        own=hand,
                        freedom=HEAVY,
                        ends=(2 * axis, 2 * axis + 1),
                    )
                )
        if one.spec.girth_mm is not None:
            own = spreads.STRING_SHARE * one.spec.girth_mm
            girth = _girth(i, ring=one.ring, reading=one.spec.girth_mm)
            found.append(
                Observation(kind=ReadingKind.GIRTH, section=i, evaluate=girth, spread=own, freedom=HEAVY)
            )
    instrument = Observation(
        kind=ReadingKind.INSTRUMENT,
        section=0,
        evaluate=sum_of([(unknowns.calipers, 1.0)]),
        spread=spreads.rectangular(1.0) if found else 1.0,
        own=0.0,
    )
    return [*found, instrument]


def _extent(section: int, *, axis: int, reading: float, own_error: int) -> Evaluate:
    """A caliper reading of a section's width or depth."""
    limit = spreads.caliper_limit_mm(reading)

    def evaluate(lying: Sequence[Lying], values: Floats) -> tuple[float, Terms]:
        one = lying[section]
        low, high = one.ends[2 * axis], one.ends[2 * axis + 1]
        extent = one.end_mm(2 * axis + 1) - one.end_mm(2 * axis)
        slope = one.slope(high, axis) - one.slope(low, axis)
        return reading - extent - limit * values[own_error], [*of(section, slope), (own_error, limit)]

    return evaluate


def _girth(section: int, *, ring: Floats, reading: float) -> Evaluate:
    """The length of a string pulled tight round a section."""
    hull = hull_ring(ring)  # turned and scaled it stays the hull
    drawn = following(hull) - hull

    def evaluate(lying: Sequence[Lying], values: Floats) -> tuple[float, Terms]:
        del values
        scale = lying[section].scale
        plain = drawn @ lying[section].turning
        edge = plain * scale
        length = np.maximum(lengths(edge), 1e-12)
        slope = np.zeros(PARAMETERS)
        by_turn = left_of(plain) * scale
        slope[TURN] = ((edge * by_turn).sum(axis=1) / length).sum()
        slope[SCALE_X:] = (edge * plain / length[:, None]).sum(axis=0)
        return reading - float(length.sum()), of(section, slope)

    return evaluate


def readings_of(laid: Laid) -> tuple[float | None, float | None]:
    """Caliper width and depth: as given, or those that a measured section consists of."""
    spec = laid.spec
    if isinstance(spec.source, MeasuredSource) and not spec.turn_deg:
        return spec.width_mm or spec.source.width_mm, spec.depth_mm or spec.source.depth_mm
    return spec.width_mm, spec.depth_mm


def size_along(laid: Laid, *, axis: int) -> float:
    """Width or depth, mm: as read with calipers, else as drawn."""
    reading = readings_of(laid)[axis]
    return size(laid.ring)[axis] if reading is None else reading


def side_profiles(
    laid: Sequence[Laid], *, profiles: Profiles, spread: SpreadSpec, own: Mapping[Side, ExtentSpread]
) -> list[Observation]:
    """What profiles say at every section they reach, the heights of all sections, and the tilt of views.

    ``own`` holds how sure the edges are of those sides that a view shows.
    """
    unknowns = Unknowns(sections=len(laid))
    heights = (
        Observation(
            kind=ReadingKind.HEIGHT,
            section=i,
            evaluate=sum_of([(unknowns.height(i), 1.0)]),
            spread=max(spread.heights_mm, 1e-6),
            own=0.0,
        )
        for i in range(len(laid))
    )
    edges = (
        observation
        for end, side in enumerate(chain.from_iterable(PAIRS))
        if (profile := profiles.of(side)) is not None
        for observation in _of_profile(laid, profile, end=end, view=own.get(side), spread=spread)
    )
    return [*heights, *edges, *(_tilt(axis, own=own, unknowns=unknowns) for axis in (0, 1))]


def _of_profile(
    laid: Sequence[Laid], profile: Profile, *, end: int, view: ExtentSpread | None, spread: SpreadSpec
) -> Iterator[Observation]:
    """What one profile says at every section it reaches, of that end of it; ``view`` where a view shows it."""
    unknowns = Unknowns(sections=len(laid))
    gauge = spreads.PROFILE_MM if view is None else view.own_mm
    for i, one in enumerate(laid):
        z = one.spec.height_mm
        if not profile.reaches(z):
            continue
        reading, rise = float(profile.at(z)), profile.slope_at(z)
        alone = spreads.combined([gauge, _between_points(profile, z)])
        swings = {unknowns.height(i): -rise}
        if view is not None:
            swings[unknowns.tilt(end // 2)] = view.arm_mm(across_mm=reading, height_mm=z, rise=rise)
        yield Observation(
            kind=ReadingKind(profile.side),
            section=i,
            evaluate=_edge(i, end=end, reading=reading, swings=swings),
            spread=spreads.combined([alone, 0.0 if one.exact else spread.trace_mm]),
            own=alone,
            freedom=HEAVY,
            ends=(end,),
        )


def _tilt(axis: int, *, own: Mapping[Side, ExtentSpread], unknowns: Unknowns) -> Observation:
    """That the view showing an axis has no tilt left, as surely as it was set upright; without a view the tilt is held at 0."""
    view = next((own[side] for side in PAIRS[axis] if side in own), None)
    spread = _NO_VIEW_RAD if view is None else max(view.tilt_rad, _NO_VIEW_RAD)
    tilt = sum_of([(unknowns.tilt(axis), 1.0)])
    return Observation(kind=ReadingKind.TILT, section=0, evaluate=tilt, spread=spread, freedom=HEAVY)


def _edge(section: int, *, end: int, reading: float, swings: Mapping[int, float]) -> Evaluate:
    """A profile's reading of one end of a section; the section's height may be off, and the view tilted.

    ``swings`` holds the model's slopes by these two unknowns, by their index.
    """

    def evaluate(lying: Sequence[Lying], values: Floats) -> tuple[float, Terms]:
        one = lying[section]
        left = reading - one.end_mm(end) - sum(slope * values[k] for k, slope in swings.items())
        return float(left), [*of(section, one.slope(one.ends[end], end // 2)), *swings.items()]

    return evaluate


def _between_points(profile: Profile, z: float) -> float:
    """How far a profile may bulge at a height between two of its points, mm: as a parabola whose slope changes as much as the profile's does there."""
    heights, reach = profile.points_mm.T
    at = int(np.clip(np.searchsorted(heights, z), 1, len(heights) - 1))
    beside = (np.diff(reach) / np.diff(heights))[max(0, at - 2) : at + 1]
    low, high = heights[at - 1 : at + 1]
    share = 4.0 * (z - low) * (high - z) / (high - low) ** 2
    return float(np.ptp(beside) * (high - low) / 8 * share)


def as_written(spread: SpreadSpec, laid: Sequence[Laid]) -> tuple[SpreadSpec, tuple[Finding, ...]]:
    """The spreads, with the coarse step of which all caliper readings are multiples where none is stated, and a note on it."""
    if spread.step_mm is not None:
        return spread, ()
    read = np.unique([r for one in laid for r in readings_of(one) if r is not None])
    if len(read) < _ENOUGH:
        return spread, ()
    for step, words in _STEPS:
        if (np.abs(read - step * np.round(read / step)) < _SAME_MM).all():
            return replace(spread, step_mm=step), (_told(step, words),)
    return spread, ()


def _told(step: float, words: str) -> Finding:
    return note(
        "readings-rounded",
        f"all widths and depths are {words}: each may be off by {step / 2:.2f} mm",
        "read them to 0.01 mm with calipers, or set step = 0.01 if they are that exact",
        where="spread.step",
        **in_mm(step),
    )
