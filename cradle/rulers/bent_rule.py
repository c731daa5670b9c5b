"""Whether a rule is bent: its marks bow by more than lenses bend lines, and no rule across it shows such a lens."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.finding import Finding, doubt, in_mm
from cradle.rulers.bowed_marks import marks_bow_px

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cradle.calibration.bowed_sides import LensSeen
    from cradle.calibration.scale import Scale
    from cradle.rulers.ruler_rows import Row

_BENDS: Final = 0.055
"""What lies in a picture's corner is moved by no larger part of its distance, but by very wide lenses (common practice, no source)."""
_SURE: Final = 2.0
_OFF: Final = 0.5
"""Relative standard uncertainty of lengths by that part: 2 to 7 % of rendered pieces beside rules bent by 2 to 3 mm."""
_ALIKE: Final = 0.3
"""By this part of it the lenses by two rules differ at most that see the same one, besides their uncertainty."""
_ACROSS: Final = 0.7
"""Cosine of the most that rules run alike that check one another."""


def told_where_bent(scales: Sequence[Scale], rows: Sequence[Row]) -> tuple[Scale, ...]:
    """The scales of rules, each with the doubt that the rule is bent, where it seems to be.

    Parameters
    ----------
    rows : sequence of Row
        The first row of marks of each.
    """
    lenses = [None if scale.known is None else scale.known.lens for scale in scales]
    return tuple(
        _less_sure(scale, lens, row)
        if lens is not None
        and _bends(lens)
        and not any(
            _agree(lens, other) and abs(row.marks.ahead @ beside.marks.ahead) < _ACROSS
            for other, beside in zip(lenses, rows, strict=True)
        )
        else scale
        for scale, lens, row in zip(scales, lenses, rows, strict=True)
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


def _agree(one: LensSeen | None, other: LensSeen | None) -> bool:
    """Whether two rules show the same lens."""
    if one is None or other is None:
        return False
    return abs(one.k1 - other.k1) < _ALIKE * abs(one.k1) + _SURE * (one.spread + other.spread)


def _bent(row: Row) -> Finding:
    """The doubt that a rule is bent."""
    marks = row.marks
    bow_mm = marks_bow_px(marks) / row.px_per_mm
    long_mm = row.unit_mm * float(marks.number[-1] - marks.number[0])
    return doubt(
        "ruler-bowed",
        f"the ruler's marks bow by {bow_mm:.1f} mm over {long_mm:.0f} mm: the ruler is bent, or seen through a very wide lens",
        "lay a straight ruler, go further away and zoom in, or use the capture sheet",
        where="ruler",
        **in_mm(bow_mm),
    )
