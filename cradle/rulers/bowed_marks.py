"""What a rule's marks tell of the lens: they begin and the short ones end along straight lines, and a lens bows these."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.calibration.bowed_sides import LensSeen, bow_px, lens_seen
from cradle.geometry.usual import usual_miss

if TYPE_CHECKING:
    from cradle.geometry.arrays import Bools, Floats
    from cradle.rulers.ruler_marks import Marks

_STRAIGHT: Final = 0.1 / 300.0
"""How far a rule's middle lies off the line through its ends, as part of its length (common practice, no source)."""
_BOW_PX: Final = 0.3
"""Standard uncertainty of that in the picture, if marks begin where they seem to."""
_UNLIKE: Final = 3.0
"""Ends further off than this many times the usual distance are of longer marks, of numerals or dirt."""
_ROUNDS: Final = 4
_MOST_RMS: Final = 0.12
"""Largest rms distance of the marks' ends from a parabola, in spacings: what is less even is no edge."""


def lens_by_marks(rows: Sequence[Marks], size_px: tuple[int, int]) -> LensSeen | None:
    """The lens by rows of marks of one rule; None where they hardly tell.

    Parameters
    ----------
    size_px : (int, int)
        The picture's.
    """
    sides = [side for marks in rows for side in _even_ends(marks)]
    if not sides:
        return None
    longest = max(float(np.hypot(*(side[-1] - side[0]))) for side in sides)
    return lens_seen(sides, size_px, spread_px=float(np.hypot(_BOW_PX, _STRAIGHT * longest)))


def marks_bow_px(marks: Marks) -> float:
    """How far the middle of where a row of marks begins, or the short ones end, lies off the line through its ends; 0 if uneven."""
    return max((abs(bow_px(side)) for side in _even_ends(marks)), default=0.0)


def _even_ends(marks: Marks) -> Iterator[Floats]:
    """Where marks begin along the rule's edge, and where the short ones end, each ``(n, 2)`` px; nothing where that is uneven.

    What the picture shows of one of them may be cut short by something straight: only where both bow alike is the lens known surely.
    """
    for reach in (marks.high_px, -marks.low_px):
        ends = marks.at_px + marks.across * reach[:, None]
        kept, rms = _even(ends @ marks.ahead, ends @ marks.across)
        if rms < _MOST_RMS * marks.spacing_px:
            yield ends[kept]


def _even(along: Floats, off: Floats) -> tuple[Bools, float]:
    """Which places lie along the parabola through most of them, ``(n,)`` bool, and the rms of their distances from it."""
    kept = np.ones(len(along), dtype=bool)
    x = (along - along.mean()) / max(float(np.ptp(along)), 1e-9)
    miss = off - np.median(off)
    for _ in range(_ROUNDS):
        miss = off - np.polyval(np.polyfit(x[kept], off[kept], 2), x)
        kept = np.abs(miss) <= _UNLIKE * max(usual_miss(miss), 1e-9)
        if kept.sum() < len(kept) / 2:
            return kept, float(np.inf)
    return kept, float(np.sqrt((miss[kept] ** 2).mean()))
