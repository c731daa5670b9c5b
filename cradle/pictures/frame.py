"""A frame of one colour round a picture, as viewers, screenshots and programs that lay out pages add one: nothing lies there.

All of it has one level, which a camera's or a scanner's noise leaves nowhere over a whole row; and the picture begins all
along a straight line, as ground that is white with light does not. Its place is taken by what lies at its inner rim, so
that ground goes on to the border, and what the frame cuts off runs out there. Within it something lies on its ground: a
template of one colour on white, square to a scan or as a program drew it, is no picture in a frame, nor is a rounded one.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

if TYPE_CHECKING:
    from cradle.geometry.arrays import Bytes

_EVEN: Final = 3
"""Levels of a frame differ by no more: files that lose something keep a plain colour to within 1 or 2."""
_BLOCK_PX: Final = 8
"""A JPEG file mixes the picture into a frame within one of its blocks (ITU-T T.81, A.1.3)."""
_ALL_ALONG: Final = 0.9
"""Part of a frame's inner rim at which the picture differs from it."""
_OTHER: Final = 25
_SHOWN: Final = 0.02
"""More than this part of what lies within differs from its middle level by more than so many levels: a rule and a piece take more of a picture."""
_LEAST_PX: Final = 200
"""Shorter side of the smallest picture that may have one: what is smaller shows no rule, and a plain part of it may be as even."""
_LEAST_PART: Final = 0.3
"""Least part of a picture within a frame: a picture that lies across an upright screen has 0.34 of it. A card that fills less of
white ground, square to its borders, is a piece on it."""


def inside_frame(grey: Bytes) -> tuple[slice, slice] | None:
    """Rows and columns of what a frame of one colour holds, or None where there is no frame.

    Examples
    --------
    >>> picture = np.random.default_rng(0).integers(60, 200, (300, 400), dtype=np.uint8)
    >>> inside_frame(picture) is None
    True
    >>> inside_frame(np.pad(picture, 50, constant_values=255))
    (slice(58, 342, None), slice(58, 442, None))
    """
    if min(grey.shape) < _LEAST_PX:
        return None
    top, bottom = _even_rows(grey), _even_rows(grey[::-1])
    between = grey[top : len(grey) - bottom].T
    left, right = _even_rows(between), _even_rows(between[::-1])
    high, wide = grey.shape
    rows = slice(_held(top), high - _held(bottom))
    columns = slice(_held(left), wide - _held(right))
    inner = grey[rows, columns]
    if inner.size <= _LEAST_PART * grey.size:
        return None
    sides = [(top, grey[0], inner[0]), (bottom, grey[-1], inner[-1])]
    sides += [(left, between[0], inner[:, 0]), (right, between[-1], inner[:, -1])]
    corners = inner[[0, 0, -1, -1], [0, -1, 0, -1]]
    begins = [
        _unlike(rim, outermost[0]) > _ALL_ALONG and _unlike(corners, outermost[0]) == 1
        for width, outermost, rim in sides
        if width
    ]
    return (rows, columns) if begins and all(begins) and _shows_something(inner) else None


def carried_out(levels: Bytes, inside: tuple[slice, slice]) -> Bytes:
    """The levels ``(h, w)`` or ``(h, w, c)`` with those of a frame replaced by the nearest within it."""
    rows, columns = (
        np.clip(np.arange(n), part.start, part.stop - 1)
        for n, part in zip(levels.shape, inside, strict=False)
    )
    return levels[rows[:, None], columns]


def _shows_something(inner: Bytes) -> bool:
    """Whether a picture is not all of one colour, but for its noise."""
    levels = inner[::4, ::4].astype(int)
    return bool((np.abs(levels - np.median(levels)) > _OTHER).mean() > _SHOWN)


def _held(width: int) -> int:
    """From where on a picture is its own within a frame so wide."""
    return width + _BLOCK_PX if width else 0


def _unlike(rim: Bytes, level: np.uint8) -> float:
    """The part of a row that differs from a level."""
    return float((np.abs(rim.astype(int) - int(level)) > _EVEN).mean())


def _even_rows(grey: Bytes) -> int:
    """How many rows from the first on are all of its level; 0 where all are."""
    level = int(grey[0, 0])
    for k, row in enumerate(grey):
        if int(row.max()) > level + _EVEN or int(row.min()) < level - _EVEN:
            return k
    return 0
