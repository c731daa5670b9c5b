"""Evidence: everything that says how sections lie, gathered for one estimate, and where to begin its search."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Final

import numpy as np

from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.ring import size
from cradle.noun import noun
from cradle.placing.ways import turned_sizes
from cradle.project.fit import SpreadSpec
from cradle.project.section import Align
from cradle.project.side import PAIRS
from cradle.sections.adjustment import student_t_cost
from cradle.sections.axis_lines import AxisLine, axis_lines
from cradle.sections.drawing_evidence import Wander, as_drawn, mirror_planes, neighbours, origin, shifts
from cradle.sections.laid import Laid
from cradle.sections.likeness import likeness
from cradle.sections.observations import Observation
from cradle.sections.posterior import EXTENTS
from cradle.sections.profiles import Profiles, extent_at, wander_mm
from cradle.sections.reading_spreads import PROFILE_MM, SCALE_FREEDOM, combined
from cradle.sections.readings import calipers, side_profiles, size_along
from cradle.sections.sizes import Sizes, sizes_of
from cradle.sections.unit_curve import UnitCurve, curve_of
from cradle.sections.zero import said_middle_mm
from cradle.views.views import Seen

_AGREES: Final = 4.0
"""A section counts as seen where the width or depth that profiles show is within this many standard deviations of its own."""
_TURNS_DEG: Final = np.arange(-10.0, 10.1, 0.5)


@noun
class Start:
    """Where the search for the placing of k sections begins.

    Attributes
    ----------
    middles_mm : (k, 2) float64
        About where the middles of width and depth lie.
    turns_rad : (k,) float64
    scales : (k, 2) float64
    """

    middles_mm: Floats
    turns_rad: Floats
    scales: Floats


@noun
class Evidence:
    """Everything that says how sections lie.

    Attributes
    ----------
    observations : tuple of Observation
        They determine every unknown.
    lean_known : (bool, bool)
        Whether anything measured says how the sections lie beside each other along x, and along y.
    """

    observations: tuple[Observation, ...]
    start: Start
    lean_known: tuple[bool, bool]


@noun
class _Along:
    """What lines the sections up along one axis: about where each middle lies, ``(k,)`` mm."""

    observations: list[Observation]
    middles_mm: Floats
    lean_known: bool


def gather(laid: Sequence[Laid], *, align: Align, seen: Seen, spread: SpreadSpec) -> Evidence:
    """All readings, and what the drawings themselves say, as far as the project lets them line sections up."""
    profiles = seen.profiles if align.uses_profiles else Profiles()
    curves = [curve_of(one.ring) for one in laid]
    lines = _lines(laid, curves=curves, spread=spread) if align.uses_lines else [()] * len(laid)
    found = calipers(laid, spread=spread)
    found += side_profiles(laid, profiles=profiles, spread=spread, own=seen.spreads)
    found += as_drawn(laid, spread=spread)
    tied = align.keeps_turns or any(one.spec.turn_deg is not None for one in laid)
    tied = tied or any(o.kind in EXTENTS for o in found)
    wander = [
        _wander(laid, profiles=profiles, seen=seen, trace_mm=spread.trace_mm, axis=axis) for axis in (0, 1)
    ]
    found += mirror_planes(laid, lines=lines, tied=tied, wander=wander)
    found += neighbours(laid, found=[likeness(a, moving=b) for a, b in pairwise(curves)], wander=wander)
    along = [_along(axis, laid, align=align, profiles=profiles, lines=lines) for axis in (0, 1)]
    starts = [starting_turn(one, sizes=sizes_of(one, profiles=profiles), spread=spread) for one in laid]
    return Evidence(
        observations=(*found, *along[0].observations, *along[1].observations),
        start=Start(
            middles_mm=frozen(np.column_stack([a.middles_mm for a in along])),
            turns_rad=frozen(np.array([turn for turn, _ in starts])),
            scales=frozen(np.array([scale for _, scale in starts])),
        ),
        lean_known=(along[0].lean_known, along[1].lean_known),
    )


def _lines(
    laid: Sequence[Laid], *, curves: Sequence[UnitCurve], spread: SpreadSpec
) -> list[tuple[AxisLine, ...]]:
    return [
        axis_lines(one, curve=curve, trace_mm=0.0 if one.exact else spread.trace_mm)
        for one, curve in zip(laid, curves, strict=True)
    ]


def _along(
    axis: int, laid: Sequence[Laid], *, align: Align, profiles: Profiles, lines: Sequence[Sequence[AxisLine]]
) -> _Along:
    """Shifts and profiles along an axis; where neither says anything, an origin is chosen."""
    profiled = _profiled(laid, profiles=profiles, axis=axis)
    mirrored = [any(line.axis == axis for line in own) for own in lines]
    silent = [i not in profiled and not own for i, own in enumerate(mirrored)]
    found = shifts(laid, align=align, axis=axis, silent=silent)
    given = {o.section for o in found}
    middles = profiled | {i: said_middle_mm(laid[i], axis=axis) for i in given}
    at = sorted(middles)
    start = np.interp(range(len(laid)), at, [middles[i] for i in at]) if at else np.zeros(len(laid))
    plane = any(mirrored)
    shared = align is Align.DRAWING or bool(profiled) or any(one.spec.shift_mm is not None for one in laid)
    if not middles or (plane and not shared):
        found.append(origin(laid, axis=axis, plane=plane))
    return _Along(
        observations=found,
        middles_mm=start,
        lean_known=len(laid) == 1 or align is Align.DRAWING or len(middles) >= 2,
    )


def _wander(laid: Sequence[Laid], *, profiles: Profiles, seen: Seen, trace_mm: float, axis: int) -> Wander:
    """How far the thing is seen to run to and fro along an axis between its sections, and which of these are seen themselves."""
    low, high = (seen.spreads[side].own_mm if side in seen.spreads else PROFILE_MM for side in PAIRS[axis])
    ends = laid[0].spec.height_mm, laid[-1].spec.height_mm
    amount = wander_mm(profiles, axis=axis, between_mm=ends, read_mm=(low, high))
    most = _AGREES * combined([low, high, trace_mm, trace_mm])
    return Wander(
        amount_mm=amount or 0.0,
        seen=tuple(amount is not None and _off_mm(one, profiles=profiles, axis=axis) <= most for one in laid),
    )


def _off_mm(one: Laid, *, profiles: Profiles, axis: int) -> float:
    """How far a section's extent along an axis and that of the profiles at its height differ, mm; infinite where they are silent."""
    low, high = extent_at(profiles, axis=axis, height_mm=one.spec.height_mm)
    return np.inf if low is None or high is None else abs(high - low - size_along(one, axis=axis))


def _profiled(laid: Sequence[Laid], *, profiles: Profiles, axis: int) -> dict[int, float]:
    """The middle along an axis, mm, of each section that profiles reach; a steep side, where an error in height matters, weighs little."""
    found = {}
    for i, one in enumerate(laid):
        z, half = one.spec.height_mm, size(one.ring)[axis] / 2
        sides = [
            (profile, inwards)
            for profile, inwards in zip(map(profiles.of, PAIRS[axis]), (half, -half), strict=True)
            if profile is not None and profile.reaches(z)
        ]
        if sides:
            said = [float(profile.at(z)) + inwards for profile, inwards in sides]
            sure = [1 / (1 + profile.slope_at(z) ** 2) for profile, _ in sides]
            found[i] = float(np.average(said, weights=sure))
    return found


def starting_turn(laid: Laid, *, sizes: Sizes, spread: SpreadSpec) -> tuple[float, tuple[float, float]]:
    """The likeliest small turn of a drawing, rad, and its scales along x and y so turned."""
    told = sizes.told_mm
    settled = laid.spec.turn_deg is not None or laid.settled_rad < np.radians(1.0)
    angles = np.zeros(1) if settled else np.radians(_TURNS_DEG)
    extent = turned_sizes(laid.ring, angles_rad=angles)
    cost = (angles / max(laid.settled_rad, 1e-9)) ** 2
    stated = max(spread.scale_percent / 100, laid.scale_share, 0.002)
    for axis, reading in enumerate(told):
        if reading is not None:
            sd = np.hypot(stated, 2 * spread.trace_mm / reading)
            off = np.log(extent[:, axis] / reading) / sd
            cost = cost + 2 * student_t_cost(off, freedom=SCALE_FREEDOM)
    best = int(cost.argmin())
    factors = [r / e for r, e in zip(told, extent[best], strict=True) if r is not None] or [1.0]
    return float(angles[best]), (factors[0], factors[-1])
