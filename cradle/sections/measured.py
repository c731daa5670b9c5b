"""What was read of the thing: caliper readings, girths and side profiles, as observations."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np

from cradle.geometry.arrays import Floats
from cradle.geometry.planar import hull_ring
from cradle.project.fit import SpreadSpec
from cradle.project.section import MeasuredSource
from cradle.sections import reading_spreads as spreads
from cradle.sections.laid import Laid, Lying
from cradle.sections.observations import (
    HEAVY,
    Observation,
    Terms,
    Unknowns,
    observation,
    of,
    prior,
)
from cradle.sections.posterior import PARAMETERS, ReadingKind
from cradle.sections.profiles import profile_at
from cradle.sections.reading_spreads import ExtentSpread
from cradle.sections.section import Profiles

_STEP_MM: Final = 2.0
"""Over which a profile's slope is taken."""


def _extent(lying: Lying, axis: int) -> tuple[float, Floats]:
    low, high = lying.ends[2 * axis], lying.ends[2 * axis + 1]
    value = lying.end_mm(2 * axis + 1) - lying.end_mm(2 * axis)
    return value, lying.slope(high, axis) - lying.slope(low, axis)


def calipers(laid: Sequence[Laid], *, spread: SpreadSpec) -> list[Observation]:
    """Width, depth and girth of every section, where read."""
    unknowns = Unknowns(sections=len(laid))
    found: list[Observation] = []
    hand = spreads.reading_mm(spread)
    for i, one in enumerate(laid):
        trace = 0.0 if one.exact else spread.trace_mm
        for axis, kind, reading in zip(
            (0, 1), (ReadingKind.WIDTH, ReadingKind.DEPTH), readings_of(one), strict=True
        ):
            if reading is None:
                continue

            def extent(
                lying: Sequence[Lying], values: Floats, i: int = i, axis: int = axis, reading: float = reading
            ) -> tuple[float, Terms]:
                value, slope = _extent(lying[i], axis)
                limit = spreads.caliper_limit_mm(reading)
                return reading - value - limit * values[unknowns.calipers], [
                    *of(i, slope),
                    (unknowns.calipers, limit),
                ]

            whole = spreads.combined([hand, trace, trace])
            found.append(
                observation(
                    kind,
                    i,
                    extent,
                    spread=whole,
                    own=hand,
                    freedom=HEAVY,
                    ends=lambda lying, axis=axis: lying.ends[2 * axis : 2 * axis + 2],  # type: ignore[misc]
                )
            )
        if one.spec.girth_mm is not None:

            def girth(
                lying: Sequence[Lying], values: Floats, i: int = i, reading: float = one.spec.girth_mm
            ) -> tuple[float, Terms]:
                hull = hull_ring(lying[i].points_mm)
                edge = np.roll(hull, -1, axis=0) - hull
                length = np.maximum(np.hypot(edge[:, 0], edge[:, 1]), 1e-12)
                scale = lying[i].values[3:]
                plain = edge / scale
                slope = np.zeros(PARAMETERS)
                by_turn = np.column_stack([-plain[:, 1], plain[:, 0]]) * scale
                slope[2] = ((edge * by_turn).sum(axis=1) / length).sum()
                slope[3:] = (edge * plain / length[:, None]).sum(axis=0)
                return reading - float(length.sum()), of(i, slope)

            own = spreads.STRING_SHARE * one.spec.girth_mm
            found.append(observation(ReadingKind.GIRTH, i, girth, spread=own, freedom=HEAVY))
    if found:
        found.append(prior(ReadingKind.INSTRUMENT, 0, unknowns.calipers, spreads.rectangular(1.0)))
    else:
        found.append(prior(ReadingKind.INSTRUMENT, 0, unknowns.calipers, 1.0))
    return found


def readings_of(laid: Laid) -> tuple[float | None, float | None]:
    """Caliper width and depth: as given, or those that a measured section consists of."""
    spec = laid.spec
    if isinstance(spec.source, MeasuredSource) and not spec.turn_deg:
        return spec.width_mm or spec.source.width_mm, spec.depth_mm or spec.source.depth_mm
    return spec.width_mm, spec.depth_mm


def side_profiles(
    laid: Sequence[Laid], *, profiles: Profiles, spread: SpreadSpec, own: Mapping[str, ExtentSpread]
) -> list[Observation]:
    """What the profiles say at every section they reach, and how sure the heights are."""
    unknowns = Unknowns(sections=len(laid))
    found = [
        prior(ReadingKind.HEIGHT, i, unknowns.height(i), max(spread.heights_mm, 1e-6))
        for i in range(len(laid))
    ]
    for name, kind, axis, side in _SIDES:
        profile = getattr(profiles, name)
        for i, one in enumerate(laid):
            z = one.spec.height_mm
            reading = profile_at(profile, height_mm=z)
            if reading is None:
                continue
            low, high = max(z - _STEP_MM, profile[0, 0]), min(z + _STEP_MM, profile[-1, 0])
            ends = np.interp([low, high], profile[:, 0], profile[:, 1])
            slope = float(ends[1] - ends[0]) / (high - low)

            def edge(
                lying: Sequence[Lying],
                values: Floats,
                i: int = i,
                at: int = 2 * axis + side,
                axis: int = axis,
                reading: float = reading,
                slope: float = slope,
            ) -> tuple[float, Terms]:
                point = lying[i].ends[at]
                left = reading + slope * values[unknowns.height(i)] - lying[i].end_mm(at)
                return left, [*of(i, lying[i].slope(point, axis)), (unknowns.height(i), -slope)]

            trace = 0.0 if one.exact else spread.trace_mm
            gauge = own[name].at(z) if name in own else spreads.PROFILE_MM
            alone = spreads.combined([gauge, _between_points(profile, z)])
            whole = spreads.combined([alone, trace])
            found.append(
                observation(
                    kind,
                    i,
                    edge,
                    spread=whole,
                    own=alone,
                    freedom=HEAVY,
                    ends=lambda lying, at=2 * axis + side: (lying.ends[at],),  # type: ignore[misc]
                )
            )
    return found


def _between_points(profile: Floats, z: float) -> float:
    """How far a profile may bulge between the two points around a height, mm: its bend over an eighth."""
    at = int(np.clip(np.searchsorted(profile[:, 0], z), 1, len(profile) - 1))
    slopes = np.diff(profile[:, 1]) / np.diff(profile[:, 0])
    beside = slopes[max(0, at - 2) : at + 1]
    low, high = profile[at - 1, 0], profile[at, 0]
    share = 4.0 * (z - low) * (high - z) / (high - low) ** 2
    return float(np.ptp(beside) * (high - low) / 8 * share)


_SIDES: Final = (
    ("left", ReadingKind.LEFT, 0, 0),
    ("right", ReadingKind.RIGHT, 0, 1),
    ("front", ReadingKind.FRONT, 1, 0),
    ("back", ReadingKind.BACK, 1, 1),
)
