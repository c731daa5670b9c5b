"""How a rule's two ends lean: cut square, they spread apart across it where the view leans, whether its edge is bevelled or not."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np

from cradle.geometry.peak import peak_shift
from cradle.geometry.usual import usual_miss
from cradle.noun import noun
from cradle.pictures.sampled import sampled
from cradle.rulers.ruler_strip import straight_through

if TYPE_CHECKING:
    from cradle.geometry.arrays import Bytes, Floats
    from cradle.rulers.ruler_marks import Marks

_SQUARE_DEG: Final = 0.3
"""Standard deviation of how far an end is off square (common practice, no source)."""
_BEVEL_MM: Final = 12.0
"""Greatest distance from the edge to which a bevel reaches."""
_LEAST_MM: Final = 4.0
"""Least length of an end that must show."""
_BESIDE_MM: Final = 0.5
_CORNER_MM: Final = 1.5
"""Lengths of an end that are left out: beside the longest marks, and at the far corner, which may be round."""
_REACH_MM: Final = 4.0
_NEAR_MM: Final = 0.4
"""How far from where the body seems to end its edge is looked for, and how far from the line along which most steps lie."""
_MOST_LEAN: Final = 0.15
"""Greatest slope of an end: that of one 30 mm from the middle of a picture taken from 200 mm, by a view that leans by 45 degrees."""
_STEP_PX: Final = 0.5
_BLUR: Final = 2.0
"""Samples over which steps are averaged, along an end and across it."""
_LEAST_STEP: Final = 4.0
"""An end is steeper by this factor than what lies round it; the steepest places of grain are by two (our own choice)."""
_MOST_OFF: Final = 0.35
_STRAIGHT_PX: Final = 1.2
"""An end is straight where no larger part of its places lies far off, and the others so near to a line."""
_PLACE_PX: Final = 0.25
"""Standard uncertainty of a straight edge's place, whatever the noise."""


@noun
class EndsSeen:
    """By what part a rule's length grows for each pixel across, by its ends, and its standard error.

    ``from_mm`` and ``to_mm`` are how far in from the marked edge they were seen, ``deep_mm`` is how wide the rule is.
    """

    widening: float
    error: float
    from_mm: float
    to_mm: float
    deep_mm: float


class _End(NamedTuple):
    """How far out an end lies, px, how much further out for each px across (its slope), and the standard error of that."""

    out_px: float
    lean: float
    error: float


def ends_seen(levels: Bytes, marks: Marks, body_px: Floats, *, px_per_mm: float) -> EndsSeen | None:
    """What a rule's ends tell, behind its bevel where it is wide enough; None where they are not both seen.

    Parameters
    ----------
    levels : (h, w, c) uint8
    body_px : (4, 2)
        Corners round the rule: the first two along the marked edge, the others beyond the marks.
    """
    inward = marks.across * marks.inward
    deep_mm = float((body_px[3] - body_px[0]) @ inward) / px_per_mm
    reach_px = marks.high_px if marks.inward > 0 else marks.low_px
    begin_px = float((marks.at_px[0] - body_px[0]) @ inward)
    start_mm = (begin_px + float(np.sort(reach_px)[-3])) / px_per_mm + _BESIDE_MM
    stop_mm = deep_mm - _CORNER_MM
    if stop_mm - _BEVEL_MM > 2 * _LEAST_MM:
        start_mm = max(start_mm, _BEVEL_MM)
    if stop_mm - start_mm < _LEAST_MM:
        return None
    rows = np.arange(start_mm * px_per_mm, stop_mm * px_per_mm)
    left = _end(levels, body_px[0] + rows[:, None] * inward, -marks.ahead, rows, px_per_mm=px_per_mm)
    right = _end(levels, body_px[1] + rows[:, None] * inward, marks.ahead, rows, px_per_mm=px_per_mm)
    if left is None or right is None:
        return None
    long_px = float((body_px[1] - body_px[0]) @ marks.ahead) + left.out_px + right.out_px
    square = np.sqrt(2.0) * np.radians(_SQUARE_DEG)
    return EndsSeen(
        widening=(left.lean + right.lean) / long_px,
        error=float(np.sqrt(left.error**2 + right.error**2 + square**2)) / long_px,
        from_mm=start_mm,
        to_mm=stop_mm,
        deep_mm=deep_mm,
    )


def _end(levels: Bytes, at: Floats, outward: Floats, rows: Floats, *, px_per_mm: float) -> _End | None:
    """The straight end near places ``at (n, 2)``, which lie ``rows (n,)`` px across; None where there is none."""
    count = round(_REACH_MM * px_per_mm / _STEP_PX)
    offsets = np.arange(-count, count + 1, dtype=np.float64) * _STEP_PX
    step = _steps(sampled(levels, at[:, None] + offsets[:, None] * outward))
    middle, lean = _strongest_line(step, offsets, rows)
    near = np.abs(offsets - (middle + lean * rows)[:, None]) <= _NEAR_MM * px_per_mm
    best = np.where(near, step, 0.0)[:, 1:-1].argmax(axis=1) + 1
    place = offsets[best] + _STEP_PX * peak_shift(*(step[np.arange(len(at)), best + d] for d in (-1, 0, 1)))
    middle, lean = straight_through(rows, place)
    if np.median(step[np.arange(len(at)), best]) < _LEAST_STEP * np.median(step):
        return None  # the steepest places of plain ground, or of a face that goes on
    if not _within(levels, at + (middle + lean * rows)[:, None] * outward):
        return None
    off = np.abs(place - middle - lean * rows)
    miss = usual_miss(off)
    if miss > _STRAIGHT_PX or (off > max(3 * miss, 1.0)).mean() > _MOST_OFF:
        return None
    own = miss * np.sqrt(2 * _BLUR / len(rows))
    return _End(
        out_px=float(np.median(place)),
        lean=lean,
        error=float(np.hypot(own, _PLACE_PX) / rows.std() / np.sqrt(2.0)),
    )


def _within(levels: Bytes, places: Floats) -> bool:
    """Whether a picture shows what lies round all the places."""
    last = np.array(levels.shape[1::-1]) - 1 - 2 * _BLUR
    return bool(((places >= 2 * _BLUR) & (places <= last)).all())


def _steps(seen: Bytes) -> Floats:
    """How steeply levels ``(n, k)`` or ``(n, k, c)`` change along each profile, ``(n, k)``."""
    import cv2

    smooth = (
        cv2.GaussianBlur(seen.astype(np.float32), (0, 0), _BLUR)
        .astype(np.float64)
        .reshape(*seen.shape[:2], -1)
    )
    return np.asarray(np.abs(np.gradient(smooth, axis=1)).sum(axis=2))


def _strongest_line(step: Floats, offsets: Floats, rows: Floats) -> tuple[float, float]:
    """Where the line along which most steps lie crosses row 0, and its slope: no single step counts for much."""
    held = np.minimum(step, np.median(step.max(axis=1)))
    middle = rows.mean()
    leans = np.arange(-_MOST_LEAN, _MOST_LEAN, _STEP_PX / np.ptp(rows))
    shifts = np.rint(leans[:, None] * (rows - middle) / _STEP_PX).astype(np.int64)
    most = int(np.abs(shifts).max())
    starts = np.arange(most, len(offsets) - most)
    every = np.arange(len(rows))[:, None]
    sums = np.array([held[every, starts + shift[:, None]].sum(axis=0) for shift in shifts])
    best, start = np.unravel_index(int(sums.argmax()), sums.shape)
    lean = float(leans[best])
    return float(offsets[starts[start]]) - lean * float(middle), lean
