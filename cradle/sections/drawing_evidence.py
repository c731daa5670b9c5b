"""What the drawings say themselves: turn, scale, shifts, mirror planes and likeness, as observations."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from cradle.geometry.arrays import Floats
from cradle.geometry.ring import size
from cradle.noun import noun, record
from cradle.project.fit import SpreadSpec
from cradle.project.section import Align
from cradle.sections import reading_spreads as spreads
from cradle.sections.axis_lines import AxisLine
from cradle.sections.laid import Laid, Lying
from cradle.sections.likeness import Likeness
from cradle.sections.observations import HEAVY, PLAIN, Evaluate, Observation, Terms, Unknowns, of, sum_of
from cradle.sections.posterior import MIRROR_PLACES, SCALE_X, SCALE_Y, TURN, ReadingKind, X, Y
from cradle.sections.readings import readings_of, size_along
from cradle.sections.zero import drawn_middles_mm, said_middle_mm


@noun
class Wander:
    """How far the thing runs to and fro along an axis, as seen from its sides.

    Attributes
    ----------
    amount_mm : float
        `cradle.sections.profiles.wander_mm`; 0 where nothing tells.
    seen : tuple of k bool
        Whether both sides were read at each section, and show it as wide as it is.
    """

    amount_mm: float
    seen: tuple[bool, ...]


def as_drawn(laid: Sequence[Laid], *, spread: SpreadSpec) -> Iterator[Observation]:
    """What the drawings say themselves: the turn they were laid with and their scale."""
    for i, one in enumerate(laid):
        turn_at, x_at, y_at = (Unknowns.of(i, k) for k in (TURN, SCALE_X, SCALE_Y))
        turn = max(one.settled_rad, 1e-9)
        given = one.settled_rad <= np.radians(spreads.GIVEN_DEG)
        read = any(r is not None for r in (*readings_of(one), one.spec.girth_mm))
        scale = max(spread.scale_percent / 100, one.scale_share, 1e-9)
        part_x, beside = _told_along_x(one)
        each = spreads.combined([scale, *((spreads.AXES_SHARE, beside) if read else ())])
        yield Observation(
            kind=ReadingKind.TURN,
            section=i,
            evaluate=sum_of([(turn_at, 1.0)]),
            spread=turn,
            weighed=1e-6 if given else turn,
            freedom=PLAIN if given else HEAVY,
        )
        yield Observation(
            kind=ReadingKind.SCALE,
            section=i,
            evaluate=sum_of([(x_at, part_x), (y_at, 1.0 - part_x)], value=1.0),
            spread=scale,
            freedom=spreads.SCALE_FREEDOM,
        )
        yield Observation(
            kind=ReadingKind.SCALE_APART,
            section=i,
            evaluate=sum_of([(x_at, -1.0), (y_at, 1.0)]),
            spread=each,
            freedom=spreads.SCALE_FREEDOM,
        )


def _told_along_x(laid: Laid) -> tuple[float, float]:
    """The weight of the size along x in a drawing's scale, the size along y having the rest; and the spread between both scales that a half's mirror line adds.

    A half whose mirror line is drawn beside the thing's makes the whole wider or narrower. So where both sizes of a half
    were read, only the one along that line tells the drawing's scale; where one was not, the other tells that of both.
    """
    across = laid.across_half
    if across is None or None in readings_of(laid):
        return 0.5, 0.0
    return float(across), 2 * spreads.HALF_LINE_MM / size(laid.ring)[across]


def _middle(section: int, *, axis: int, at: float) -> Evaluate:
    """The observation that the middle between a section's ends along an axis lies at a coordinate, mm."""

    def evaluate(lying: Sequence[Lying], values: Floats) -> tuple[float, Terms]:
        del values
        one = lying[section]
        low, high = one.ends[2 * axis : 2 * axis + 2]
        slope = (one.slope(low, axis) + one.slope(high, axis)) / 2
        return at - float(one.points_mm[[low, high], axis].mean()), of(section, slope)

    return evaluate


def shifts(laid: Sequence[Laid], *, align: Align, axis: int, silent: Sequence[bool]) -> list[Observation]:
    """Shifts given, and those of drawings that share one frame, along an axis.

    ``silent`` marks sections of which nothing else says where they lie: where
    sections are lined up by profiles alone, these stay as drawn.
    """
    found = []
    kind = (ReadingKind.SHIFT_X, ReadingKind.SHIFT_Y)[axis]
    for i, one in enumerate(laid):
        given = one.spec.shift_mm is not None
        if not (given or align is Align.DRAWING or (align is Align.PROFILES and silent[i])):
            continue
        there = _middle(i, axis=axis, at=said_middle_mm(one, axis=axis))
        own = spreads.GIVEN_MM if given else spreads.GIVEN_MM / 2
        found.append(
            Observation(kind=kind, section=i, evaluate=there, spread=own, weighed=spreads.FREE_MM / 100)
        )
    return found


def mirror_planes(
    laid: Sequence[Laid], *, lines: Sequence[Sequence[AxisLine]], tied: bool, wander: Sequence[Wander]
) -> Iterator[Observation]:
    """Mirror lines of sections, one upright plane across x and one across y for the whole thing.

    Parameters
    ----------
    lines : for each section its AxisLine
    tied : bool
        Whether anything else says how the whole thing is turned; else the planes stand square by choice.
    wander : (Wander, Wander)
        Along x and along y.
    """
    unknowns = Unknowns(sections=len(laid))
    for axis in (0, 1):
        members = [(i, line) for i, own in enumerate(lines) for line in own if line.axis == axis]
        middle = float(np.mean([laid[i].spec.height_mm for i, _ in members])) if members else 0.0
        for i, line in members:
            up = laid[i].spec.height_mm - middle
            yield from _on_its_plane(line, i, up=up, wander_mm=wander[axis].amount_mm, unknowns=unknowns)
        yield from _plane(axis, unknowns=unknowns, lines=bool(members), tied=tied)


def _on_its_plane(
    line: AxisLine, section: int, *, up: float, wander_mm: float, unknowns: Unknowns
) -> Iterator[Observation]:
    """Turn and place of a section's mirror line on the thing's plane, ``up`` mm above the middle of those that tell it."""
    turn_at, _ = unknowns.plane(line.axis)
    turn = spreads.combined([line.turn_spread_rad, np.radians(spreads.MIRROR_DEG)])
    if np.isfinite(turn):
        yield Observation(
            kind=ReadingKind.MIRROR_TURN,
            section=section,
            evaluate=sum_of([(Unknowns.of(section, TURN), 1.0), (turn_at, -1.0)], value=-line.turn_rad),
            spread=turn,
            freedom=spreads.MIRROR_FREEDOM,
        )
    if np.isfinite(line.place_spread_mm):
        away = spreads.MIRROR_SHARE * abs(up)
        yield Observation(
            kind=MIRROR_PLACES[line.axis],
            section=section,
            evaluate=_on_plane(section, axis=line.axis, place=line.place_mm, up=up, unknowns=unknowns),
            spread=spreads.combined([line.place_spread_mm, spreads.MIRROR_MM, away, wander_mm]),
            freedom=spreads.MIRROR_FREEDOM,
        )


def _plane(axis: int, *, unknowns: Unknowns, lines: bool, tied: bool) -> list[Observation]:
    """That a mirror plane stands about square to its axis; one on which no section has a line is held in place."""
    turn_at, place_at = unknowns.plane(axis)
    square = Observation(
        kind=ReadingKind.PLANE,
        section=0,
        evaluate=sum_of([(turn_at, 1.0)]),
        spread=float(np.radians(spreads.SQUARE_DEG)) if lines and tied else 1e-6,
        freedom=spreads.MIRROR_FREEDOM if tied else PLAIN,
    )
    if lines:
        return [square]
    still = sum_of([(place_at, 1.0)])
    return [square, Observation(kind=ReadingKind.PLANE, section=0, evaluate=still, spread=1.0)]


def _on_plane(section: int, *, axis: int, place: float, up: float, unknowns: Unknowns) -> Evaluate:
    """A mirror line on the thing's plane: its foot lies ``place`` along its normal from the section's middle."""
    turn_at, place_at = unknowns.plane(axis)
    lean, x_at, y_at = unknowns.lean(axis), Unknowns.of(section, X), Unknowns.of(section, Y)

    def evaluate(lying: Sequence[Lying], values: Floats) -> tuple[float, Terms]:
        del lying
        cos, sin = float(np.cos(values[turn_at])), float(np.sin(values[turn_at]))
        nx, ny = (cos, sin) if axis == 0 else (-sin, cos)
        x, y = float(values[x_at]), float(values[y_at])
        left = float(values[place_at] + values[lean] * up) - (nx * x + ny * y) - place
        return left, [(lean, -up), (x_at, nx), (y_at, ny), (turn_at, nx * y - ny * x), (place_at, -1.0)]

    return evaluate


def neighbours(
    laid: Sequence[Laid], *, found: Sequence[Likeness], wander: Sequence[Wander]
) -> list[Observation]:
    """That each section lies where it is most like the one below, and the lean that all share.

    Where both sides were read at both sections, how far these wander tells how far
    the middle may step aside, whatever the form; elsewhere it is told by how unlike
    the two are.

    Parameters
    ----------
    wander : (Wander, Wander)
        Along x and along y.
    """
    unknowns = Unknowns(sections=len(laid))
    out = [
        Observation(
            kind=(ReadingKind.LEAN_X, ReadingKind.LEAN_Y)[axis],
            section=0,
            evaluate=sum_of([(unknowns.lean(axis), 1.0)]),
            spread=spreads.LEAN,
            own=spreads.LEAN_MEDIAN,
            freedom=spreads.MIRROR_FREEDOM,
        )
        for axis in (0, 1)
    ]
    for i, like in enumerate(found):
        up = laid[i + 1].spec.height_mm - laid[i].spec.height_mm
        for axis, along in enumerate(wander):
            both = all(along.seen[i : i + 2])
            step = _steady(along.amount_mm) if both else _unlike(like, laid[i : i + 2], axis=axis)
            out.append(_beside(i, like, axis=axis, leaning=(unknowns.lean(axis), -up), step=step))
        if np.isfinite(like.turn_spread_rad):
            out.append(_turned_like(i, like))
    return out


@record
class _Step:
    """How far a section's middle may step aside from where the one below puts it, mm: as an `Observation`'s spreads."""

    spread: float
    own: float
    weighed: float


def _steady(wander_mm: float) -> _Step:
    """The step of a section whose sides were read, and wander by so much."""
    scale = spreads.combined([spreads.STEADY_MM, wander_mm])
    spread = spreads.STEADY_SPREAD * scale
    return _Step(spread=spread, own=spread, weighed=scale)


def _unlike(like: Likeness, pair: Sequence[Laid], *, axis: int) -> _Step:
    """The step between two sections of which only the outlines are known."""
    low, high = (size_along(one, axis=axis) for one in pair)
    misfit = max(like.misfit_mm, 1e-3)
    return _Step(
        spread=spreads.UNLIKE_SPREAD * misfit,
        own=spreads.form_shift_mm(misfit_mm=misfit, change_mm=abs(high - low)),
        weighed=spreads.UNLIKE_SHARE * misfit,
    )


def _beside(below: int, like: Likeness, *, axis: int, leaning: tuple[int, float], step: _Step) -> Observation:
    """That a section lies along an axis where it is most like the one below; ``leaning`` is the lean's index and the slope by it."""
    shift = [(Unknowns.of(below, X + axis), -1.0), (Unknowns.of(below + 1, X + axis), 1.0), leaning]
    return Observation(
        kind=(ReadingKind.LIKENESS_X, ReadingKind.LIKENESS_Y)[axis],
        section=below + 1,
        evaluate=sum_of(shift, value=float(like.shift_mm[axis])),
        spread=step.spread,
        own=step.own,
        weighed=step.weighed,
        freedom=spreads.UNLIKE_FREEDOM,
    )


def _turned_like(below: int, like: Likeness) -> Observation:
    """That a section is turned so that it is most like the one below."""
    turn = [(Unknowns.of(below, TURN), -1.0), (Unknowns.of(below + 1, TURN), 1.0)]
    return Observation(
        kind=ReadingKind.LIKENESS_TURN,
        section=below + 1,
        evaluate=sum_of(turn, value=like.turn_rad),
        spread=like.turn_spread_rad,
        freedom=spreads.UNLIKE_FREEDOM,
    )


def origin(laid: Sequence[Laid], *, axis: int, plane: bool) -> Observation:
    """The choice of the origin along an axis that nothing ties: the drawings' own, the mirror plane, or the middle of all sections.

    Where the drawings have a zero of their own, the sections move by 0 on average
    (the inner constraint of a free network: P. Meissl, "Die innere Genauigkeit eines
    Punkthaufens", 1962, from memory).
    """
    unknowns = Unknowns(sections=len(laid))
    kind = (ReadingKind.SHIFT_X, ReadingKind.SHIFT_Y)[axis]
    drawn = drawn_middles_mm(laid, axis=axis)
    if drawn:
        share = 1.0 / len(drawn)
        shifts = [(Unknowns.of(i, X + axis), share) for i in drawn]
        lies = sum_of(shifts, value=share * sum(drawn.values()))
    elif plane:
        lies = sum_of([(unknowns.plane(axis)[1], 1.0)])
    else:
        lies = _middle_of_all(axis=axis)
    return Observation(kind=kind, section=0, evaluate=lies, spread=spreads.FREE_MM)


def _middle_of_all(*, axis: int) -> Evaluate:
    """How far the middle between the outermost ends of all sections along an axis lies from the origin."""

    def evaluate(lying: Sequence[Lying], values: Floats) -> tuple[float, Terms]:
        del values
        ends = [one.points_mm[list(one.ends[2 * axis : 2 * axis + 2]), axis].tolist() for one in lying]
        lowest, highest = int(np.argmin([low for low, _ in ends])), int(np.argmax([high for _, high in ends]))
        terms = [
            (unknown, slope / 2)
            for section, end in ((lowest, 2 * axis), (highest, 2 * axis + 1))
            for unknown, slope in of(section, lying[section].slope(lying[section].ends[end], axis))
        ]
        return -(ends[lowest][0] + ends[highest][1]) / 2, terms

    return evaluate
