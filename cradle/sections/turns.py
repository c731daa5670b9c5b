"""Which way round each section lies: turn, and whether it was captured face down.

Order of authority: the turn the user gives; a half outline or a section known
by measurements (their axes are known); a mirror line, brought upright or
level; the best match with a neighbour. The drawing's own turn is kept unless
another is clearly better.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from cradle.finding import Finding, Severity
from cradle.geometry.arrays import Floats
from cradle.geometry.ring import counter_clockwise, turned
from cradle.project.section import Align
from cradle.sections.curve import Curve, curve_of
from cradle.sections.mirror import MirrorLine, mirror_lines
from cradle.sections.rigid import Motion, first_turn, rigid_match
from cradle.sections.section import PlacedBy

CLEARLY: Final = 0.5
"""A misfit below this share of the usual one is clearly better ..."""
CLEARLY_BY: Final = 0.005
"""... if it is also less by this share of the section's size: more than tracing does."""
TURN_GAIN: Final = 0.02
"""A small turn that lowers the misfit by less than this share is not worth leaving the drawing's turn."""
SKEW_DEG: Final = 5.0
"""A sheet may lie this much askew unnoticed; a larger turn must fit clearly better."""
UPRIGHT_DEG: Final = 2.0
"""A mirror line this near upright or level still says where the section lies."""
SAME_DEG: Final = 1.0
"""Turns this near lead to the same match."""
STRAIGHT_DEG: Final = 20.0
"""A drawing whose mirror line leans less was laid straight: a quarter turn is then out of question."""
TOLD_DEG: Final = 0.01
"""Turns below this are not worth a line."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Drawn:
    """A whole ring as drawn, before anything is turned.

    ``axes_known`` marks a half outline or a section known by measurements;
    ``line_mm`` and ``line_deg`` are its mirror line, where known.
    """

    ring: Floats
    where: str
    turn_deg: float | None = None
    axes_known: bool = False
    line_mm: Floats | None = None
    line_deg: float = 90.0


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Turned:
    """A ring the right way round.

    ``line_x_mm`` and ``line_y_mm`` are the places of an upright and of a level
    mirror line; ``departed`` says that a neighbour, not the drawing, decided.
    """

    ring: Floats
    where: str
    turn_deg: float = 0.0
    by: PlacedBy = PlacedBy.DRAWING
    line_x_mm: float | None = None
    line_y_mm: float | None = None
    asymmetry_mm: float | None = None
    departed: bool = False
    findings: tuple[Finding, ...] = ()


def turn_sections(drawn: tuple[Drawn, ...], *, align: Align) -> tuple[Turned, ...]:
    """Return the rings turned into the thing's frame, bottom to top.

    The work starts at the section with the clearest authority and goes on to
    its neighbours. When more than half of the others differ from a start that
    rests on its drawing alone, the start was the odd one out and another is
    taken.
    """
    if align in (Align.DRAWING, Align.PROFILES):
        return tuple(_as_drawn(d) for d in drawn)
    curves = tuple(curve_of(d.ring) for d in drawn)
    lines = tuple(
        mirror_lines(curve) if align is not Align.MATCH and not d.axes_known else ()
        for d, curve in zip(drawn, curves, strict=True)
    )
    fixed = [d.turn_deg is not None or (d.axes_known and align is not Align.MATCH) for d in drawn]
    start = _first(fixed, otherwise=_first([bool(found) for found in lines], otherwise=0))
    result = _from_start(drawn, curves=curves, lines=lines, fixed=fixed, start=start)
    departed = [turn.departed for turn in result]
    if not any(fixed) and 2 * sum(departed) > len(drawn):
        result = _from_start(drawn, curves=curves, lines=lines, fixed=fixed, start=departed.index(True))
    return tuple(
        replace(t, findings=t.findings + _no_mirror(t)) if align is Align.MIRROR and not _has_line(t) else t
        for t in result
    )


def _from_start(
    drawn: tuple[Drawn, ...],
    *,
    curves: tuple[Curve, ...],
    lines: tuple[tuple[MirrorLine, ...], ...],
    fixed: list[bool],
    start: int,
) -> tuple[Turned, ...]:
    """Turn the start, then upwards from it, then downwards."""
    done: dict[int, Turned] = {}
    for i in [*range(start, len(drawn)), *range(start - 1, -1, -1)]:
        beside = None if i == start else done[i - 1 if i > start else i + 1]
        if fixed[i]:
            done[i] = _with_lines(_as_drawn(drawn[i]), lines=lines[i])
        elif lines[i]:
            done[i] = _by_mirror(drawn[i], curve=curves[i], lines=lines[i], beside=beside)
        elif beside is not None:
            done[i] = _by_match(drawn[i], curve=curves[i], beside=beside)
        else:
            done[i] = _as_drawn(drawn[i])
    return tuple(done[i] for i in range(len(drawn)))


def _as_drawn(drawn: Drawn) -> Turned:
    """The section with the turn given, or none; a known mirror line turns with it."""
    turn_deg = drawn.turn_deg or 0.0
    result = Turned(
        ring=turned(drawn.ring, angle_deg=turn_deg) if turn_deg else drawn.ring,
        where=drawn.where,
        turn_deg=turn_deg,
        by=PlacedBy.DRAWING if drawn.turn_deg is None else PlacedBy.GIVEN,
    )
    if drawn.line_mm is None:
        return result
    line = MirrorLine(point_mm=drawn.line_mm, angle_deg=drawn.line_deg, asymmetry_mm=0.0)
    return replace(_with_lines(result, lines=(line,)), asymmetry_mm=None)


def _with_lines(result: Turned, *, lines: tuple[MirrorLine, ...]) -> Turned:
    """The section with those of its mirror lines that are upright or level after its turn."""
    x, y = result.line_x_mm, result.line_y_mm
    for line in lines:
        point = turned(line.point_mm[None], angle_deg=result.turn_deg)[0]
        lean = line.angle_deg + result.turn_deg
        if abs(lean % 180.0 - 90.0) <= UPRIGHT_DEG:
            x = float(point[0])
        elif abs((lean + 90.0) % 180.0 - 90.0) <= UPRIGHT_DEG:
            y = float(point[1])
    asymmetry = lines[0].asymmetry_mm if lines else result.asymmetry_mm
    return replace(result, line_x_mm=x, line_y_mm=y, asymmetry_mm=asymmetry)


def _by_mirror(drawn: Drawn, *, curve: Curve, lines: tuple[MirrorLine, ...], beside: Turned | None) -> Turned:
    """The section with its mirror line upright or level.

    The smallest turn that does so is taken, unless a neighbour fits clearly
    better after half a turn more, or, for drawings not laid straight, a quarter.
    """
    axis_deg = 90.0 if 45.0 <= lines[0].angle_deg <= 135.0 else 0.0
    usual_deg = (axis_deg - lines[0].angle_deg + 90.0) % 180.0 - 90.0  # a line has no direction
    chosen_deg, departed = usual_deg, False
    if beside is not None:
        quarters = (0, 1, 2, 3) if abs(usual_deg) > STRAIGHT_DEG else (0, 2)
        reference = curve_of(beside.ring)
        misfits = [
            rigid_match(reference, moving=curve, start_deg=usual_deg + 90.0 * k, motion=Motion.SHIFT).misfit
            for k in quarters
        ]
        best = int(np.argmin(misfits))
        if clearly_better(misfits[best], than=misfits[0]):
            chosen_deg, departed = _smallest(usual_deg + 90.0 * quarters[best]), True
    result = Turned(
        ring=turned(drawn.ring, angle_deg=chosen_deg),
        where=drawn.where,
        turn_deg=chosen_deg,
        by=PlacedBy.MIRROR,
        departed=departed,
        findings=_told(
            drawn.where, turn_deg=chosen_deg, departed=departed, why="its mirror line runs along an axis"
        ),
    )
    return _with_lines(result, lines=lines)


def _by_match(drawn: Drawn, *, curve: Curve, beside: Turned) -> Turned:
    """The section turned, and flipped if it was captured face down, to match its neighbour."""
    reference = curve_of(beside.ring)
    flipped_ring = counter_clockwise(drawn.ring * np.array([-1.0, 1.0]))
    flipped = curve_of(flipped_ring)
    still = rigid_match(reference, moving=curve, motion=Motion.SHIFT)
    near = rigid_match(reference, moving=curve)
    far_deg, far_misfit = first_turn(reference, moving=curve)
    over_deg, over_misfit = first_turn(reference, moving=flipped)
    far, over = near, None
    if abs(_smallest(far_deg - near.turn_deg)) > SAME_DEG:
        far = rigid_match(reference, moving=curve, start_deg=far_deg)
    if over_misfit < far_misfit:
        over = rigid_match(reference, moving=flipped, start_deg=over_deg)
    small = abs(near.turn_deg) <= SKEW_DEG and near.misfit < (1.0 - TURN_GAIN) * still.misfit
    usual, departed = near if small or clearly_better(near.misfit, than=still.misfit) else still, False
    if clearly_better(far.misfit, than=usual.misfit):
        usual, departed = far, abs(_smallest(far.turn_deg)) > STRAIGHT_DEG
    if over is None or not clearly_better(over.misfit, than=usual.misfit):
        turn_deg, ring, face_down = _smallest(usual.turn_deg), drawn.ring, False
        findings = _told(drawn.where, turn_deg=turn_deg, departed=departed, why=f"it matches {beside.where}")
    else:
        turn_deg, ring, face_down = _smallest(over.turn_deg), flipped_ring, True
        findings = (
            Finding(
                code="outline-flipped",
                severity=Severity.WARN,
                where=drawn.where,
                message=f"captured face down: its mirror image fits {beside.where} to "
                f"{over.misfit * reference.size_mm:.2f} mm on average, as drawn only to "
                f"{usual.misfit * reference.size_mm:.2f} mm; it was flipped and turned by {turn_deg:.2f} deg",
                measured=over.misfit * reference.size_mm,
                limit=usual.misfit * reference.size_mm,
                unit="mm",
                advice="if it was drawn the right way up, set turn = 0",
            ),
        )
    return Turned(
        ring=turned(ring, angle_deg=turn_deg) if turn_deg else ring,
        where=drawn.where,
        turn_deg=turn_deg,
        by=PlacedBy.MATCH,
        departed=face_down or departed,
        findings=findings,
    )


def clearly_better(misfit: float, *, than: float) -> bool:
    """Return whether a misfit is so much less that chance and tracing cannot be the reason."""
    return misfit < CLEARLY * than and than - misfit > CLEARLY_BY


def _told(where: str, *, turn_deg: float, departed: bool, why: str) -> tuple[Finding, ...]:
    """A finding that a section was turned, unless it hardly was."""
    if abs(turn_deg) <= TOLD_DEG:
        return ()
    return (
        Finding(
            code="section-turned",
            severity=Severity.WARN if departed else Severity.NOTE,
            where=where,
            message=f"turned by {turn_deg:.2f} deg so that {why}",
            measured=turn_deg,
            unit="deg",
            advice="if the drawing lay right, set turn = 0" if departed else "",
        ),
    )


def _no_mirror(turn: Turned) -> tuple[Finding, ...]:
    """The finding for a section that was to be placed by a mirror line but has none."""
    return (
        Finding(
            code="no-mirror-line",
            severity=Severity.WARN,
            where=turn.where,
            message="no mirror line was found: the section was matched with its neighbour instead",
            advice='give shift and turn, or align = "match"',
        ),
    )


def _has_line(turn: Turned) -> bool:
    return turn.line_x_mm is not None or turn.line_y_mm is not None or turn.by is PlacedBy.GIVEN


def _smallest(turn_deg: float) -> float:
    """The same turn in (-180, 180]."""
    return 180.0 - (180.0 - turn_deg) % 360.0


def _first(flags: list[bool], *, otherwise: int) -> int:
    """Index of the first flag that is set."""
    return flags.index(True) if any(flags) else otherwise
