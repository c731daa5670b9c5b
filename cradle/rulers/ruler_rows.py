"""Rows of marks in a picture, and what they count."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.geometry.arrays import Bytes, frozen
from cradle.noun import record
from cradle.rulers.mark_law import LEAST_MARKS
from cradle.rulers.ruler_body import DEEPEST_MM
from cradle.rulers.ruler_find import MarkLine
from cradle.rulers.ruler_kind import BY_RULE, GraduationReading, credible_reading, readings
from cradle.rulers.ruler_marks import Marks, read_marks

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from cradle.pictures.image import Picture

_MOST_RMS: Final = 0.1
"""Largest rms distance of the marks from their law, in spacings; beyond it they are no rule's."""
_AS_CLEAR: Final = 0.1
"""A row whose agreement is less than this much below the best is read as clearly."""
_CLEAR: Final = 0.7
"""What marks count is clear if this part of all is seen and agrees; of every second mm, in rows askew, half is."""
MOST_READ: Final = 6
"""Lines along which marks are read, the most promising first."""
_ALIKE: Final = 0.05
"""The scales of a rule's two edges differ by less than this part: by 0.04 where they are 35 mm apart, 300 mm from a lens that leans by
20 degrees."""


@record
class RuleRow:
    """A row of marks, and what they count."""

    marks: Marks
    reading: GraduationReading

    @property
    def unit_mm(self) -> float:
        """Distance from one mark to the next."""
        return self.reading.graduation.unit_mm

    @property
    def px_per_mm(self) -> float:
        """Pixels a millimetre."""
        return self.marks.spacing_px / self.unit_mm

    @property
    def told(self) -> float:
        """How many marks tell what all count: their number times the agreement of their lengths with it."""
        return self.reading.agreement * len(self.marks.number)

    @property
    def clear(self) -> bool:
        """Whether nearly all marks between the first and the last are seen, with the lengths that they should have."""
        return self.told > _CLEAR * (int(self.marks.number[-1]) + 1)


def regular_marks(
    grey: Bytes, lines: Sequence[MarkLine], *, corner_px: tuple[int, int] = (0, 0)
) -> Iterator[tuple[Marks, ...]]:
    """Marks along the first few lines of part of a picture, each line's in the whole picture's px.

    Of one line they are read in several ways, which differ in which gaps
    between marks belong to their law. A line without such marks gives none.
    """
    for line in lines[:MOST_READ]:
        regular = tuple(
            replace(marks, at_px=frozen(marks.at_px + corner_px))
            for marks in read_marks(grey, line)
            if marks.rms_px <= _MOST_RMS * marks.spacing_px
        )
        if regular:
            yield regular


def best_row(picture: Picture, regular: Sequence[Marks], *, beside: RuleRow | None = None) -> RuleRow | None:
    """The marks along one line with what they count, or None; another rule helps where their lengths alone do not tell.

    Where the marks and the gaps between them tell the same as clearly, those that keep to their law better are taken.
    """
    read = [
        RuleRow(marks=marks, reading=reading)
        for marks in regular
        if (reading := _reading(picture, marks, beside)) is not None
    ]
    if not read:
        return None
    best = max(read, key=lambda each: each.reading.agreement).reading
    as_clear = [
        each
        for each in read
        if each.reading.graduation is best.graduation and each.reading.agreement > best.agreement - _AS_CLEAR
    ]
    return min(as_clear, key=lambda each: each.marks.rms_px)


def same_place(a: Marks, b: Marks) -> bool:
    """Whether two rows lie on one another, be one of them askew: its marks are the other's."""
    apart = b.at_px.mean(axis=0) - a.at_px.mean(axis=0)
    return bool(abs(a.ahead @ b.ahead) > 0.9 and abs(apart @ a.across) < 6 * max(a.spacing_px, b.spacing_px))


def other_edge(one: RuleRow, two: RuleRow) -> bool:
    """Whether two rows of marks may be the two edges of one rule: side by side, of one scale, and no wider apart than one is."""
    a, b = one.marks, two.marks
    apart = b.at_px.mean(axis=0) - a.at_px.mean(axis=0)
    half = max(float(np.ptp(row.at_px @ a.ahead)) for row in (a, b)) / 2
    beside = abs(apart @ a.across) < DEEPEST_MM * one.px_per_mm and abs(apart @ a.ahead) < half
    of_one_scale = abs(one.px_per_mm / two.px_per_mm - 1) < _ALIKE
    return bool(of_one_scale and beside and abs(a.ahead @ b.ahead) > 0.999)


def _reading(picture: Picture, marks: Marks, beside: RuleRow | None) -> GraduationReading | None:
    """What the marks count, by their lengths and what the tag or another rule makes of their spacing, or None."""
    found = _by_lengths(marks, picture.size_px)
    if beside is not None:
        return credible_reading(found, tag_unit_mm=marks.spacing_px / beside.px_per_mm, within=BY_RULE)
    return credible_reading(found, tag_unit_mm=_by_tag(picture, marks))


def _by_lengths(marks: Marks, size_px: tuple[int, int]) -> tuple[GraduationReading, ...]:
    """The graduations that the marks' lengths allow, the best first.

    Marks begin at one edge and differ at their other end; either end, or the
    whole, may show it best, since what lies beyond the edge may be as dark.
    Marks that the picture's edge cuts show nothing.
    """
    along = (marks.number / max(int(marks.number[-1]), 1)) - 0.5
    spacing = marks.spacing_px * (1 + marks.change * along)
    ends = [marks.at_px + marks.across * reach[:, None] for reach in (marks.high_px, -marks.low_px)]
    uncut = np.all([(end > 1) & (end < np.array(size_px) - 2) for end in ends], axis=(0, 2))
    if uncut.sum() < LEAST_MARKS:
        return ()
    low, high = (frozen((side / spacing)[uncut]) for side in (marks.low_px, marks.high_px))
    found = [readings(marks.number[uncut], side, whole=low + high) for side in (low + high, low, high)]
    return max(found, key=lambda each: each[0].agreement if each else 0.0)


def _by_tag(picture: Picture, marks: Marks) -> float | None:
    """The spacing of the marks by the resolution tag, mm."""
    tag = picture.resolution.mm_per_px
    return None if tag is None else float(np.hypot(*(marks.ahead * marks.spacing_px * np.array(tag))))
