"""A straight line that runs through a drawn outline, taken out of it, and the outline carried on where it was."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.geometry.vectors import cross, left_of, unit
from cradle.noun import noun
from cradle.pictures.ruled_paper import without_line
from cradle.pictures.sampled import nearest

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cradle.geometry.arrays import Bools, Bytes, Floats, Ints

_GAP_MM: Final = 3.0
"""How far along the line the outline moves from one side of it to the other at most."""
_CLEAR_PX: Final = 3.0
"""From this far beyond the line's half width on, nothing of the outline was taken out: a margin for rounding, and for an even
kernel's half pixel."""


@noun
class LineAcross:
    """A straight line across an outline: both ends, ``(2, 2)`` px, and the width of what is to be taken out."""

    ends_px: Floats
    wide_px: float

    def moved(self, by_px: Ints) -> LineAcross:
        """The same line elsewhere in the picture."""
        return replace(self, ends_px=self.ends_px + by_px)

    def taken_from(self, dark: Bytes) -> Bytes:
        """The darkness of a picture without this line, ``(h, w)``; what is markedly darker stays."""
        step = self.ends_px[1] - self.ends_px[0]
        places = (
            self.ends_px[0] + np.linspace(0.0, 1.0, max(2, round(float(np.hypot(*step)))))[:, None] * step
        )
        across = left_of(unit(step))
        seen = np.max([nearest(dark, places + off * across, beyond=0) for off in (-1.0, 0.0, 1.0)], axis=0)
        strength = float(np.median(seen[seen > 0])) if seen.any() else 0.0
        return without_line(dark, self.ends_px, strength=strength, wide_px=self.wide_px)

    def carried_across(self, mask: Bytes, *, px_per_mm: float) -> Bytes:
        """A mask without this line, ``(h, w)``, with the outline carried on across where it was.

        From each place where the outline ends on one side to the nearest on the other.
        """
        import cv2

        step = self.ends_px[1] - self.ends_px[0]
        length = float(np.hypot(*step))
        ahead, side = step / length, left_of(step) / length * (self.wide_px / 2 + _CLEAR_PX)
        middle = self.ends_px[0] + np.arange(0.0, length)[:, None] * ahead
        left, right = (_runs(nearest(mask, middle + sign * side, beyond=0) > 0) for sign in (1.0, -1.0))
        out = mask.copy()
        for one, other in _pairs(left[:, 0], right[:, 0], most=_GAP_MM * px_per_mm):
            ends = [
                self.ends_px[0] + left[one, 0] * ahead + side,
                self.ends_px[0] + right[other, 0] * ahead - side,
            ]
            way = ends[1] - ends[0]
            wide = min(left[one, 1], right[other, 1]) * abs(float(cross(way, ahead))) / float(np.hypot(*way))
            start, stop = (np.rint(end).astype(int).tolist() for end in ends)
            cv2.line(out, start, stop, 1, thickness=max(1, round(wide)))
        return out


def _runs(on: Bools) -> Floats:
    """The middle and the length of each run of set values, ``(k, 2)``."""
    turns = np.flatnonzero(np.diff(np.concatenate([[False], on, [False]]).astype(np.int64)))
    start, stop = turns[::2], turns[1::2]
    return np.column_stack([(start + stop - 1) / 2, stop - start])


def _pairs(left: Floats, right: Floats, *, most: float) -> Iterator[tuple[int, int]]:
    """Numbers of places on both sides that are each other's nearest."""
    if not len(left) or not len(right):
        return
    apart = np.abs(left[:, None] - right)
    for one, other in enumerate(apart.argmin(axis=1).tolist()):
        if apart[one, other] <= most and int(apart[:, other].argmin()) == one:
            yield one, other
