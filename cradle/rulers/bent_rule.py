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
    from cradle.rulers.ruler_rows import RuleRow

BOWED: Final = "ruler-bowed"
"""Told of a rule whose marks do not stand in a straight line."""
_BENDS: Final = 0.055
"""Largest part of its distance from the middle by which a lens moves a picture's corner, unless it is very wide (common practice, no
source)."""
_SURE: Final = 2.0
_TELLS: Final = 0.25
"""The spacing of marks tells whether there is such a lens if its standard uncertainty is less than this part of the lens's strength."""
_OFF: Final = 0.5
"""Relative standard uncertainty of lengths beside a rule that seems bent, as part of that strength: rendered pieces beside rules bent
by 2 to 3 mm were off by 2 to 7 %."""
_ALIKE: Final = 0.3
"""Two measures of the same lens differ by less than this part of its strength, besides their uncertainties."""
_CURE: Final = "lay a straight ruler, go further away and zoom in, or use the capture sheet"
_ACROSS: Final = 0.7
"""Two rules check one another if the cosine of the angle between them is less."""


def told_where_bent(
    scales: Sequence[Scale], rows: Sequence[RuleRow], size_px: tuple[int, int]
) -> tuple[Scale, ...]:
    """The scales of rules, with findings on those that seem bent; what the bow and lean of a surely bent one would tell is left out.

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
    """A rule, the lens that would explain its bow, and as witness the lens by the spacing of its marks, if that tells enough."""

    def __init__(self, scale: Scale, row: RuleRow, size_px: tuple[int, int]) -> None:
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


def _by_spacing_alone(scale: Scale, row: RuleRow) -> Scale:
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


def _less_sure(scale: Scale, lens: LensSeen, row: RuleRow) -> Scale:
    """The scale of a rule that seems bent, made less sure: without such a lens lengths are off by half of what it would move."""
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


def _bent(row: RuleRow) -> Finding:
    """The doubt that a rule is bent."""
    bow_mm, told = _bow(row)
    return doubt(
        BOWED,
        f"{told}: the ruler is bent, or seen through a very wide lens",
        _CURE,
        where="ruler",
        **in_mm(bow_mm),
    )


def _bow(row: RuleRow) -> tuple[float, str]:
    """By how many mm a rule's marks bow, and in words."""
    marks = row.marks
    bow_mm = marks_bow_px(marks) / row.px_per_mm
    long_mm = row.unit_mm * float(marks.number[-1] - marks.number[0])
    return bow_mm, f"the ruler's marks bow by {bow_mm:.1f} mm over {long_mm:.0f} mm"
