"""Whether a rule is bent: its marks bow, and neither how they are spaced nor a rule across it shows the lens that would do that."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.calibration.picture_view import Known
from cradle.finding import Finding, doubt, in_mm, note
from cradle.rulers.bowed_marks import marks_bow_px
from cradle.rulers.spaced_marks import lens_by_spacing

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cradle.calibration.bowed_sides import LensSeen
    from cradle.calibration.scale import Scale
    from cradle.rulers.ruler_rows import Row

BOWED: Final = "ruler-bowed"
"""Told of a rule whose marks do not stand in a straight line."""
_BENDS: Final = 0.055
"""What lies in a picture's corner is moved by no larger part of its distance, but by very wide lenses (common practice, no source)."""
_SURE: Final = 2.0
_TELLS: Final = 0.25
"""A witness tells whether there is such a lens where its standard uncertainty is at most this part of it."""
_OFF: Final = 0.5
"""Relative standard uncertainty of lengths by that part: 2 to 7 % of rendered pieces beside rules bent by 2 to 3 mm."""
_ALIKE: Final = 0.3
"""By this part of it what two tell of the same lens differs at most, besides their uncertainty."""
_CURE: Final = "lay a straight ruler, go further away and zoom in, or use the capture sheet"
_ACROSS: Final = 0.7
"""Cosine of the most that rules run alike that check one another."""


def told_where_bent(
    scales: Sequence[Scale], rows: Sequence[Row], size_px: tuple[int, int]
) -> tuple[Scale, ...]:
    """The scales of rules: of one that is surely bent without what its bow and lean would tell, and each with what is told of it.

    Parameters
    ----------
    rows : sequence of Row
        The first row of marks of each.
    size_px : (int, int)
        The picture's.
    """
    rules = [_Rule(scale, row, size_px) for scale, row in zip(scales, rows, strict=True)]
    straight = [rule for rule in rules if rule.lens is not None and not rule.surely_bent]
    out = []
    for rule in rules:
        if rule.surely_bent:
            out.append(_by_spacing_alone(rule.scale, rule.row))
        elif rule.lens is None or not _bends(rule.lens) or rule.seen_by(straight):
            out.append(rule.scale)
        else:
            out.append(_less_sure(rule.scale, rule.lens, rule.row))
    return tuple(out)


class _Rule:
    """A rule, the lens that its bow would take, and the one by how its marks are spaced."""

    def __init__(self, scale: Scale, row: Row, size_px: tuple[int, int]) -> None:
        self.scale, self.row = scale, row
        self.lens = None if scale.known is None else scale.known.lens
        self.witnesses: list[LensSeen] = []
        if self.lens is not None:
            spaced = lens_by_spacing(row.marks, size_px, px_per_mm=row.px_per_mm)
            self.witnesses = [spaced] if spaced.spread < _TELLS * abs(self.lens.k1) else []

    @property
    def surely_bent(self) -> bool:
        """Whether how its marks are spaced tells that there is no such lens."""
        return self.lens is not None and not all(_agree(self.lens, each) for each in self.witnesses)

    def seen_by(self, others: Sequence[_Rule]) -> bool:
        """Whether how its marks are spaced, or another rule that lies across it, shows the same lens."""
        across = [
            other.lens for other in others if abs(self.row.marks.ahead @ other.row.marks.ahead) < _ACROSS
        ]
        return any(
            _agree(self.lens, each)
            for each in (*self.witnesses, *across)
            if self.lens is not None and each is not None
        )


def _by_spacing_alone(scale: Scale, row: Row) -> Scale:
    """The scale of a rule that is surely bent, with a note of it: neither its lens nor how it leans is taken from it."""
    bow_mm, told = _bow(row)
    bent = note(
        BOWED,
        f"the ruler is bent: {told}, and their spacing shows no lens that would do that",
        "lay a straight ruler along the next piece",
        where="ruler",
        **in_mm(bow_mm),
    )
    known = scale.known
    return replace(
        scale,
        known=None if known is None else Known(rows=known.rows[:1], share=known.share),
        findings=(*scale.findings, bent),
    )


def _less_sure(scale: Scale, lens: LensSeen, row: Row) -> Scale:
    """A rule's scale where the rule seems bent: lengths are off by half of what the lens that it shows would move, where it is none."""
    off = _OFF * abs(lens.k1)
    known = scale.known
    return replace(
        scale,
        known=None if known is None else replace(known, share=float(np.hypot(known.share, off))),
        findings=(*scale.findings, _bent(row)),
    )


def _bends(lens: LensSeen) -> bool:
    """Whether a lens by a rule surely bends lines more than lenses do."""
    return abs(lens.k1) - _SURE * lens.spread > _BENDS


def _agree(one: LensSeen, other: LensSeen) -> bool:
    """Whether two show the same lens."""
    return abs(one.k1 - other.k1) < _ALIKE * abs(one.k1) + _SURE * (one.spread + other.spread)


def _bent(row: Row) -> Finding:
    """The doubt that a rule is bent."""
    bow_mm, told = _bow(row)
    return doubt(
        BOWED,
        f"{told}: the ruler is bent, or seen through a very wide lens",
        _CURE,
        where="ruler",
        **in_mm(bow_mm),
    )


def _bow(row: Row) -> tuple[float, str]:
    """By how many mm a rule's marks bow, and in words."""
    marks = row.marks
    bow_mm = marks_bow_px(marks) / row.px_per_mm
    long_mm = row.unit_mm * float(marks.number[-1] - marks.number[0])
    return bow_mm, f"the ruler's marks bow by {bow_mm:.1f} mm over {long_mm:.0f} mm"
