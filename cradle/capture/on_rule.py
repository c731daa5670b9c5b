"""What lies over a rule or a card: a hand, a clip, a piece laid too near, or the rest of a rule that lies under another; and what holds one."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.finding import Finding, Severity, doubt, note
from cradle.geometry.arrays import Floats, following
from cradle.geometry.planar import region
from cradle.geometry.region_measures import distances
from cradle.geometry.ring import edge_lengths
from cradle.geometry.vectors import cross

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cradle.capture.traced_picture import TracedPiece
    from cradle.pictures.grain import Grain
    from cradle.pictures.regions import Box

_NEAR_PX: Final = 2.0
"""An edge that stops at a rule lies on the border of what the rule covers."""
_LONG_MM: Final = 3.0
_WITHIN: Final = 0.15
"""How far a rule's end may stand out beyond its sides carried on, as part of its width."""
_SPANS: Final = 0.6
"""An end of a rule spans more than this part of its width."""
_MOSTLY: Final = 0.5
"""What lies along more than this part of the length of two rules at once is no piece, but what is left of them in their corner."""
_CARRIED: Final = 0.8
"""A thing carries a row of marks if at least this part of them lies on it."""
_CLEAR_MM: Final = 1.0
"""No line is looked for this near to a rule."""
_HOLDS: Final = doubt(
    "piece-holds-rule",
    "a ruler or a card lies within the outline of the piece: it seems to be what they lie on, or a frame round the picture",
    "look at the check picture; cut off a frame, or lay the piece clear of the ruler on something plain",
)


def told_on_rules(
    pieces: Sequence[TracedPiece], covered_px: Sequence[Floats], *, grain: Grain
) -> list[TracedPiece]:
    """The pieces, with a finding on each that lies over a rule or a card, and on each within which one lies.

    Beside others it is a hand or a weight more often than a piece: one note takes the place of what is doubtful
    about its edge. Alone, or picked, it is a warning.

    Parameters
    ----------
    covered_px : sequence of (n, 2)
        What rules and cards cover.
    """
    over = [_mm_over(piece.ring_px, covered_px, grain.mm) for piece in pieces]
    alone = all(length > _LONG_MM for length in over)
    told = [
        piece if length <= _LONG_MM else _told(piece, length, grain, alone=alone)
        for piece, length in zip(pieces, over, strict=True)
    ]
    return [
        replace(piece, findings=(*piece.findings, _HOLDS))
        if any(distances(polygon, region(piece.ring_px)).max() == 0.0 for polygon in covered_px)
        else piece
        for piece in told
    ]


def told_unread(pieces: Sequence[TracedPiece], unread_px: Sequence[Floats]) -> list[TracedPiece]:
    """The pieces, with a note on each that carries regular marks which could not be read: it is a ruler, or a thing with teeth.

    Parameters
    ----------
    unread_px : sequence of (n, 2)
        Rows of marks.
    """
    return [
        replace(piece, findings=(*piece.findings, _unread(marks)))
        if (marks := sum(_marks_on(piece.ring_px, row) for row in unread_px))
        else piece
        for piece in pieces
    ]


def _marks_on(ring: Floats, marks_px: Floats) -> int:
    """How many marks of a row a ring carries; 0 where it is fewer than most of them."""
    count = int((distances(marks_px, region(ring)) <= _NEAR_PX).sum())
    return count if count >= _CARRIED * len(marks_px) else 0


def _unread(marks: int) -> Finding:
    return note(
        "ruler-unread",
        f"it carries {marks} regular marks: if it is a ruler, they could not be read",
        "go nearer or scan finer to have it read, and pick the piece that is meant",
    )


def without_ends_of_rules(
    pieces: Sequence[TracedPiece], rules_px: Sequence[Floats], *, grain_mm: float, where: str
) -> tuple[list[TracedPiece], tuple[Finding, ...]]:
    """The pieces without the remains of rules, and a note of them: an end beyond another rule that lies across, or the backs of two in a corner.

    Parameters
    ----------
    rules_px : sequence of (n, 2)
        What each rule covers.
    grain_mm : float
        Length of a pixel.
    where : str
        The picture's name.
    """
    ends = [
        _spans_end(piece.ring_px, rules_px, grain_mm) > _SPANS
        or _lies_in_corner(piece.ring_px, rules_px, grain_mm)
        for piece in pieces
    ]
    if not any(ends):
        return list(pieces), ()
    told = note("rule-end", "what of a ruler lies beyond another one was left out", where=where)
    return [piece for piece, end in zip(pieces, ends, strict=True) if not end], (told,)


def marks_of_end(box_px: Box, rules_px: Sequence[Floats], *, grain_mm: float) -> bool:
    """Whether a box of lines holds marks at the end of a rule, beyond another one that lies across it."""
    x, y, w, h = box_px
    out = _CLEAR_MM / grain_mm
    corners = np.array([(x, y), (x + w, y), (x + w, y + h), (x, y + h)], dtype=np.float64)
    middle = corners.mean(axis=0)
    return _spans_end(corners + out * np.sign(corners - middle), rules_px, grain_mm) > 0.0


def _spans_end(ring: Floats, rules_px: Sequence[Floats], grain_mm: float) -> float:
    """The part of a rule's width that a ring spans which goes on from it beyond another rule; 0 where it does not."""
    if len(rules_px) < 2 or _mm_over(ring, rules_px, grain_mm) <= _LONG_MM:
        return 0.0
    return max(_continues(rule, ring) for rule in rules_px)


def _lies_in_corner(ring: Floats, rules_px: Sequence[Floats], grain_mm: float) -> bool:
    """Whether a ring lies along most of two rules at once."""
    along = [
        _mm_over(ring, [rule], grain_mm) > _MOSTLY * grain_mm * float(edge_lengths(rule).max())
        for rule in rules_px
    ]
    return sum(along) > 1


def _continues(rule: Floats, ring: Floats) -> float:
    """The part of a four-cornered rule's width that a ring spans between the rule's long sides carried on; 0 if it juts out of these."""
    if len(rule) != 4:
        return 0.0
    along = following(rule) - rule
    first = int(np.argmax(np.hypot(*along.T))) % 2
    away = np.stack([_from_line(ring, rule[k], along[k]) for k in (first, first + 2)])
    part = away[0] / (away[0] + away[1])  # the sides run opposite ways round: 0 on one, 1 on the other
    inside = (part > -_WITHIN) & (part < 1 + _WITHIN)
    return float(np.ptp(part)) if inside.all() else 0.0


def _from_line(points: Floats, start: Floats, along: Floats) -> Floats:
    """Distance of points to the left of a line, ``(n,)``, px."""
    return np.asarray(cross(along, points - start) / np.hypot(*along))


def _mm_over(ring: Floats, covered_px: Sequence[Floats], grain_mm: float) -> float:
    """Length of a ring that lies on the border of what is covered, or within it."""
    middles = ring + (following(ring) - ring) / 2
    near = np.zeros(len(middles), dtype=bool)
    for polygon in covered_px:
        near |= distances(middles, region(polygon)) < _NEAR_PX
    return float(edge_lengths(ring)[near].sum()) * grain_mm


def _told(piece: TracedPiece, over_mm: float, grain: Grain, *, alone: bool) -> TracedPiece:
    found = Finding(
        code="piece-on-rule",
        severity=Severity.WARN if alone else Severity.NOTE,
        message=f"the piece lies over a ruler or a card: {grain.length(over_mm):.0f} of its edge is hidden",
        advice="lay it clear of that if it is a piece",
        **grain.figures(over_mm, limit_mm=_LONG_MM),
    )
    return replace(piece, findings=(*piece.findings, found) if alone else (found,))
