"""Where the marks along a rule's other edge must lie, once those along one are read."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.geometry.shapes import rectangle
from cradle.rulers.ruler_find import MarkLine
from cradle.rulers.ruler_kind import GRADUATIONS

if TYPE_CHECKING:
    from cradle.geometry.arrays import Bytes, Floats
    from cradle.rulers.ruler_marks import Marks

_USUAL_MM: Final = tuple(graduation.unit_mm for graduation in GRADUATIONS if graduation.usual)
"""Distances between marks that are looked for, mm; each search finds marks half, twice and three times as far apart as well."""


def lines_at_other_edge(
    grey: Bytes, marks: Marks, *, corner_px: tuple[int, int], middle_px: Floats, px_per_mm: float
) -> tuple[Bytes, list[MarkLine]]:
    """The picture of a rule alone without the half that has been read, and lines along which the other may be marked.

    Parameters
    ----------
    grey : (h, w) uint8
    marks : Marks
        Of the one edge, in the px of the whole picture.
    corner_px : (2,)
        Where the rule's picture begins in that.
    middle_px : (2,)
        The middle of the rule, in that.
    px_per_mm : float
        By the marks.
    """
    row = marks.at_px.mean(axis=0) - corner_px
    middle = middle_px - np.array(corner_px)
    off = float((middle - row) @ marks.across)
    h, w = grey.shape
    y, x = np.mgrid[0:h, 0:w].astype(np.float32)
    beyond = ((x - middle[0]) * marks.across[0] + (y - middle[1]) * marks.across[1]) * np.sign(off) > 0
    half = np.where(beyond, grey, np.uint8(np.median(grey)))
    centre = row + 2 * off * marks.across
    corners = rectangle((0, 0), (w, h))
    along = (corners - centre) @ marks.ahead
    return half, [
        MarkLine(
            centre_px=(float(centre[0]), float(centre[1])),
            ahead=(float(marks.ahead[0]), float(marks.ahead[1])),
            reach_px=(float(along.min()), float(along.max())),
            wave_px=unit_mm * px_per_mm,
            wide_px=abs(off),
            strength=0.0,
        )
        for unit_mm in _USUAL_MM
    ]
