"""What the drawings say themselves: turn, scale, shifts, mirror planes and likeness, as observations."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cradle.geometry.arrays import Floats
from cradle.project.fit import SpreadSpec
from cradle.project.section import Align
from cradle.sections import reading_spreads as spreads
from cradle.sections.laid import Laid, Lying
from cradle.sections.likeness import Likeness
from cradle.sections.measured import readings_of
from cradle.sections.observations import (
    HEAVY,
    PLAIN,
    Observation,
    Terms,
    Unknowns,
    observation,
    of,
    prior,
)
from cradle.sections.posterior import PARAMETERS, ReadingKind


def as_drawn(laid: Sequence[Laid], *, spread: SpreadSpec) -> list[Observation]:
    """What the drawings say themselves: the turn they were laid with and their scale."""
    found: list[Observation] = []
    for i, one in enumerate(laid):
        at = PARAMETERS * i
        turn = max(one.settled_rad, 1e-9)
        given = one.settled_rad <= np.radians(spreads.GIVEN_DEG)
        found.append(
            prior(
                ReadingKind.TURN,
                i,
                at + 2,
                turn,
                weighed=1e-6 if given else turn,
                freedom=PLAIN if given else HEAVY,
            )
        )
        read = any(r is not None for r in (*readings_of(one), one.spec.girth_mm))
        stated = spread.scale_percent / 100
        scale = max(stated, 1e-9)
        each = max(spreads.combined([scale, spreads.AXES_SHARE if read else 0.0]), 1e-9)

        def both(lying: Sequence[Lying], values: Floats, at: int = at) -> tuple[float, Terms]:
            return 1.0 - float(values[at + 3] + values[at + 4]) / 2, [(at + 3, 0.5), (at + 4, 0.5)]

        def apart(lying: Sequence[Lying], values: Floats, at: int = at) -> tuple[float, Terms]:
            return -float(values[at + 4] - values[at + 3]), [(at + 3, -1.0), (at + 4, 1.0)]

        found += [
            observation(ReadingKind.SCALE, i, both, spread=scale, freedom=spreads.SCALE_FREEDOM),
            observation(ReadingKind.SCALE_APART, i, apart, spread=each, freedom=spreads.SCALE_FREEDOM),
        ]
    return found


def _middle(lying: Lying, axis: int) -> tuple[float, Floats]:
    """Half way between a section's ends along an axis, mm, and its slopes, ``(5,)``."""
    low, high = lying.ends[2 * axis : 2 * axis + 2]
    slope = (lying.slope(low, axis) + lying.slope(high, axis)) / 2
    return float(lying.points_mm[[low, high], axis].mean()), slope


def shifts(
    laid: Sequence[Laid], *, align: Align, axis: int, silent: Sequence[bool] = ()
) -> list[Observation]:
    """Shifts given, and those of drawings that share one frame, along an axis.

    ``silent`` marks sections of which nothing else says where they lie; by
    profiles alone these stay as drawn.
    """
    found = []
    for i, one in enumerate(laid):
        kind = (ReadingKind.SHIFT_X, ReadingKind.SHIFT_Y)[axis]
        if one.spec.shift_mm is not None:
            wanted = one.spec.shift_mm[axis]
            at, own = wanted, spreads.GIVEN_MM
        elif align is Align.DRAWING or (align is Align.PROFILES and silent[i]):
            at, own = float(one.middle_mm[axis]), spreads.GIVEN_MM / 2
        else:
            continue

        def middle(
            lying: Sequence[Lying], values: Floats, i: int = i, axis: int = axis, at: float = at
        ) -> tuple[float, Terms]:
            found, slope = _middle(lying[i], axis)
            return at - found, of(i, slope)

        found.append(observation(kind, i, middle, spread=own, weighed=spreads.FREE_MM / 100))
    return found


def mirror_planes(
    laid: Sequence[Laid], *, lines: Sequence[Sequence[tuple[int, float, float, float, float]]], tied: bool
) -> list[Observation]:
    """Mirror lines of sections, one upright plane across x and one across y for the whole thing.

    Parameters
    ----------
    laid : sequence of Laid
    lines : for each section (axis, turn off the axis, rad, place along the axis of its foot, mm, and both spreads)
    tied : bool
        Whether anything else says how the whole thing is turned; else the planes stand square by choice.
    """
    unknowns = Unknowns(sections=len(laid))
    heights = np.array([one.spec.height_mm for one in laid])
    found = []
    for axis in (0, 1):
        turn_at, place_at = unknowns.plane(axis)
        members = [(i, line) for i, of in enumerate(lines) for line in of if line[0] == axis]
        middle = float(np.mean([heights[i] for i, _ in members])) if members else 0.0
        for i, (_, off, place, turn_spread, place_spread) in members:

            def leans(
                lying: Sequence[Lying], values: Floats, i: int = i, off: float = off, turn_at: int = turn_at
            ) -> tuple[float, Terms]:
                return float(values[turn_at] - off - values[PARAMETERS * i + 2]), [
                    (PARAMETERS * i + 2, 1.0),
                    (turn_at, -1.0),
                ]

            def lies(
                lying: Sequence[Lying],
                values: Floats,
                i: int = i,
                place: float = place,
                axis: int = axis,
                plane: tuple[int, int] = (turn_at, place_at),
                up: float = float(heights[i]) - middle,
            ) -> tuple[float, Terms]:
                # the foot of the line lies `place` along its normal from the section's middle
                angle = float(values[plane[0]])
                normal = (
                    np.array([np.cos(angle), np.sin(angle)])
                    if axis == 0
                    else np.array([-np.sin(angle), np.cos(angle)])
                )
                by_angle = np.array([-normal[1], normal[0]])
                at = values[PARAMETERS * i : PARAMETERS * i + 2]
                lean = unknowns.lean(axis)
                left = float(values[plane[1]] + values[lean] * up - normal @ at) - place
                return left, [
                    (lean, -up),
                    (PARAMETERS * i, float(normal[0])),
                    (PARAMETERS * i + 1, float(normal[1])),
                    (plane[0], float(by_angle @ at)),
                    (plane[1], -1.0),
                ]

            turn = spreads.combined([turn_spread, np.radians(spreads.MIRROR_DEG)])
            if np.isfinite(turn):
                found.append(
                    observation(
                        ReadingKind.MIRROR_TURN, i, leans, spread=turn, freedom=spreads.MIRROR_FREEDOM
                    )
                )
            if np.isfinite(place_spread):
                away = spreads.MIRROR_SHARE * abs(heights[i] - middle)
                spread = spreads.combined([place_spread, spreads.MIRROR_MM, away])
                found.append(
                    observation(
                        ReadingKind.MIRROR_PLACE, i, lies, spread=spread, freedom=spreads.MIRROR_FREEDOM
                    )
                )
        found.append(
            prior(
                ReadingKind.PLANE,
                0,
                turn_at,
                float(np.radians(spreads.SQUARE_DEG)) if members and tied else 1e-6,
                freedom=spreads.MIRROR_FREEDOM if tied else PLAIN,
            )
        )
        if not members:
            found.append(prior(ReadingKind.PLANE, 0, place_at, 1.0))
    return found


def neighbours(laid: Sequence[Laid], *, found: Sequence[Likeness]) -> list[Observation]:
    """The likeness of each section with the next, ``k - 1`` of them, beside a lean that all share."""
    unknowns = Unknowns(sections=len(laid))
    out = [
        prior(ReadingKind.LEAN, 0, unknowns.lean(axis), spreads.LEAN, freedom=spreads.MIRROR_FREEDOM)
        for axis in (0, 1)
    ]
    for i, like in enumerate(found):
        up = laid[i + 1].spec.height_mm - laid[i].spec.height_mm
        for axis, kind in enumerate((ReadingKind.LIKENESS_X, ReadingKind.LIKENESS_Y)):

            def beside(
                lying: Sequence[Lying],
                values: Floats,
                i: int = i,
                axis: int = axis,
                wanted: float = float(like.shift_mm[axis]),
                up: float = up,
            ) -> tuple[float, Terms]:
                here, there, lean = PARAMETERS * i + axis, PARAMETERS * (i + 1) + axis, unknowns.lean(axis)
                left = wanted + up * float(values[lean]) - float(values[there] - values[here])
                return left, [(here, -1.0), (there, 1.0), (lean, -up)]

            spread = max(spreads.UNLIKE_SPREAD * like.misfit_mm, 1e-3)
            out.append(
                observation(
                    kind,
                    i + 1,
                    beside,
                    spread=spread,
                    weighed=spread * spreads.UNLIKE_SHARE / spreads.UNLIKE_SPREAD,
                    freedom=spreads.UNLIKE_FREEDOM,
                )
            )
        if np.isfinite(like.turn_spread_rad):

            def turned_alike(
                lying: Sequence[Lying], values: Floats, i: int = i, wanted: float = like.turn_rad
            ) -> tuple[float, Terms]:
                here, there = PARAMETERS * i + 2, PARAMETERS * (i + 1) + 2
                return wanted - float(values[there] - values[here]), [(here, -1.0), (there, 1.0)]

            out.append(
                observation(
                    ReadingKind.LIKENESS_TURN,
                    i + 1,
                    turned_alike,
                    spread=like.turn_spread_rad,
                    freedom=spreads.UNLIKE_FREEDOM,
                )
            )
    return out


def origin(laid: Sequence[Laid], *, axis: int, plane: bool) -> Observation:
    """The choice of the origin along an axis that nothing ties: the mirror plane, or the lowest section's middle."""
    unknowns = Unknowns(sections=len(laid))
    kind = (ReadingKind.SHIFT_X, ReadingKind.SHIFT_Y)[axis]
    if plane:
        return prior(kind, 0, unknowns.plane(axis)[1], spreads.FREE_MM)

    def middle(lying: Sequence[Lying], values: Floats) -> tuple[float, Terms]:
        found, slope = _middle(lying[0], axis)
        return -found, of(0, slope)

    return observation(kind, 0, middle, spread=spreads.FREE_MM)
