"""A straight line that runs through a drawn outline and past it on both sides: a notebook's margin, a middle line.

It parts the outline's inside, and ends outside at both ends; a side of the outline has its outside beside it all along,
and a line that ends on the outline may be the side of a half.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.geometry.vectors import left_of, unit
from cradle.pictures.line_across import LineAcross
from cradle.pictures.sampled import nearest

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cradle.geometry.arrays import Bools, Floats, Ints

_LEAST_INSIDE_MM: Final = 2.0
"""An inside is larger than a square of this side."""
_LEAST_MM: Final = 8.0
"""Least length of a straight piece that a line is found by."""
_GAP_MM: Final = 3.0
"""A line goes on across faint places no longer than this."""
_PAST_MM: Final = 2.0
"""Least length of each end outside, unless it runs out of the picture."""
_THROUGH_MM: Final = 2.0
"""Least length over which the line has insides on both sides."""
_STEP_MM: Final = 0.25
_STRAIGHT_MM: Final = 0.5
"""What is drawn along a straightedge, or printed, lies this near to a straight line, ..."""
_SOUGHT_MM: Final = (1.5, 1.0, 0.7, _STRAIGHT_MM, _STRAIGHT_MM)
"""... which is fitted in steps, each to what lies this near to the line of the step before."""
_SHRUNK_PX_PER_MM: Final = 4.0
_BESIDE_MM: Final = 1.5
"""What lies beside the line begins within this distance of its middle."""
_WIDEST_MM: Final = 2.5
_MOST: Final = 40
"""Straight pieces that are looked at; the longest come first."""
_BLUR_PX: Final = 2.0
"""A line is taken out this much wider than it was seen."""


def lines_across(own: Bools, *, px_per_mm: float) -> tuple[LineAcross, ...]:
    """The straight lines that run through an outline and past it on both sides.

    Parameters
    ----------
    own : (h, w)
        Where a line runs, with all that hangs together with it.
    """
    insides = _insides(own, px_per_mm)
    if insides is None:
        return ()
    y, x = np.nonzero(own)
    places = np.column_stack([x, y]).astype(np.float64)
    found: list[Floats] = []
    for rough in _straight(own, px_per_mm):
        ends = _settled(places, rough, px_per_mm)
        if ends is None or any(_lies_on(ends, other, px_per_mm) for other in found):
            continue
        if _runs_across(ends, insides, px_per_mm):
            found.append(ends)
    return tuple(
        LineAcross(ends_px=ends, wide_px=_width(places, ends, px_per_mm) + _BLUR_PX) for ends in found
    )


def _insides(own: Bools, px_per_mm: float) -> Ints | None:
    """The number of what a line encloses at each pixel, ``(h, w)``: 0 on the line, 1 outside; None of one that encloses less than two parts."""
    import cv2

    count, parts, stats, _ = cv2.connectedComponentsWithStats(
        (~np.pad(own, 1)).astype(np.uint8), connectivity=4
    )
    outside = int(parts[0, 0])
    large = stats[:, cv2.CC_STAT_AREA] > (_LEAST_INSIDE_MM * px_per_mm) ** 2
    large[[0, outside]] = False
    if large.sum() < 2:
        return None
    number = np.zeros(count, dtype=np.int64)
    number[large] = np.arange(2, 2 + large.sum())
    number[outside] = 1
    return np.asarray(number[parts[1:-1, 1:-1]])


def _straight(own: Bools, px_per_mm: float) -> Iterator[Floats]:
    """Straight pieces of a line, the longest first, ``(2, 2)`` px."""
    import cv2

    times = max(1, int(px_per_mm / _SHRUNK_PX_PER_MM))
    small = cv2.dilate(own.astype(np.uint8), np.ones((times, times), np.uint8))[::times, ::times]
    per_mm = px_per_mm / times
    found = cv2.HoughLinesP(
        small,
        1.0,
        np.pi / 360,
        round(0.7 * _LEAST_MM * per_mm),
        minLineLength=round(_LEAST_MM * per_mm),
        maxLineGap=max(1, round(_GAP_MM * per_mm)),
    )
    if found is None:
        return
    ends = found.reshape(-1, 2, 2).astype(np.float64) * times
    yield from ends[np.argsort(-np.hypot(*(ends[:, 1] - ends[:, 0]).T), kind="stable")][:_MOST]


def _settled(places: Floats, rough: Floats, px_per_mm: float) -> Floats | None:
    """A straight piece carried on as far as it goes, both its ends, ``(2, 2)`` px."""
    start, ahead = rough[0], unit(rough[1] - rough[0])
    reach = (0.0, float(np.hypot(*(rough[1] - rough[0]))))
    for sought_mm in _SOUGHT_MM:
        along, away = (places - start) @ ahead, (places - start) @ left_of(ahead)
        near = np.abs(away) <= sought_mm * px_per_mm
        reach = _reach(along[near], reach, gap_px=_GAP_MM * px_per_mm)
        seen = near & (along >= reach[0]) & (along <= reach[1])
        cell = np.floor((along[seen] - reach[0]) / px_per_mm).astype(np.int64)
        order = np.argsort(cell, kind="stable")
        parts = np.split(order, np.flatnonzero(np.diff(cell[order])) + 1)
        if len(parts) < _LEAST_MM / 2:
            return None
        at, off = (np.array([np.median(value[seen][part]) for part in parts]) for value in (along, away))
        slope, middle = np.polyfit(at, off, 1)
        straight = np.abs(off - middle - slope * at)
        kept = straight <= max(1.0, 2.0 * float(np.median(straight)))
        slope, middle = np.polyfit(at[kept], off[kept], 1)
        moved = start + middle * left_of(ahead)
        turned = unit(ahead + slope * left_of(ahead))
        start, ahead = moved, turned
    return np.array([start + reach[0] * ahead, start + reach[1] * ahead])


def _lies_on(rough: Floats, ends: Floats, px_per_mm: float) -> bool:
    """Whether a straight piece lies along a line that was found already."""
    away = (rough - ends[0]) @ left_of(unit(ends[1] - ends[0]))
    return bool((np.abs(away) < _STRAIGHT_MM * px_per_mm).all())


def _width(places: Floats, ends: Floats, px_per_mm: float) -> float:
    """How wide a straight line is in most places, px."""
    step = ends[1] - ends[0]
    length = float(np.hypot(*step))
    along, away = (places - ends[0]) @ step / length, (places - ends[0]) @ left_of(step) / length
    near = (np.abs(away) <= _WIDEST_MM / 2 * px_per_mm) & (along >= 0) & (along <= length)
    return float(np.median(np.bincount(along[near].astype(np.int64))))


def _reach(along: Floats, reach: tuple[float, float], *, gap_px: float) -> tuple[float, float]:
    """The first and last place of the run along a line that holds the piece ``reach``; gaps of up to ``gap_px`` do not end a run."""
    rising = np.sort(along)
    breaks = np.flatnonzero(np.diff(rising) > gap_px) + 1
    runs = [(part[0], part[-1]) for part in np.split(rising, breaks) if len(part)]
    own = [(low, high) for low, high in runs if high > reach[0] and low < reach[1]]
    return (float(own[0][0]), float(own[-1][1])) if own else reach


def _runs_across(ends: Floats, insides: Ints, px_per_mm: float) -> bool:
    """Whether a straight line has insides on both sides somewhere, and nothing but the outside at its ends."""
    step = ends[1] - ends[0]
    length = float(np.hypot(*step))
    across = left_of(step) / length
    along = np.arange(0.0, length, _STEP_MM * px_per_mm)
    middle = ends[0] + (along / length)[:, None] * step
    sides = np.stack([_beside(middle, side * across, insides, px_per_mm) for side in (-1.0, 1.0)])
    within = (sides > 1).all(axis=0) & (sides[0] != sides[1])
    if within.sum() * _STEP_MM < _THROUGH_MM:
        return False
    first, last = np.flatnonzero((sides > 1).any(axis=0))[[0, -1]]
    h, w = insides.shape
    for end, past in ((ends[0], first), (ends[1], len(along) - 1 - last)):
        margin = _PAST_MM * px_per_mm
        runs_out = (end < margin).any() or end[0] > w - margin or end[1] > h - margin
        if past * _STEP_MM < (_STEP_MM if runs_out else _PAST_MM):
            return False
    return True


def _beside(middle: Floats, across: Floats, insides: Ints, px_per_mm: float) -> Ints:
    """The number of what is first met beside a line on one side, ``(n,)``; 0 where nothing is met within a line's width."""
    met = np.zeros(len(middle), dtype=np.int64)
    for away_px in np.arange(1.0, 1.0 + _BESIDE_MM * px_per_mm):
        number = nearest(insides, middle + away_px * across, beyond=1)
        met = np.where(met == 0, number, met)
    return met
