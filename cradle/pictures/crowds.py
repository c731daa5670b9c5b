"""Marks that crowd together: print or grain of what a sheet of paper lies on, among which nobody has drawn a line."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

if TYPE_CHECKING:
    from cradle.geometry.arrays import Bools, Bytes, Singles

_WIDE_MM: Final = 12.0
"""Marks are a crowd where a square of this side holds ..."""
_MANY: Final = 6
"""... at least this many of them, ..."""
_FULL: Final = 0.25
"""... or where they cover more than this part of it: in rendered pictures newsprint covers half of it and more, one drawn line a
tenth, two that meet at a tip a fifth."""
_PRINTED_MM2: Final = 1600.0
"""Least area of print that what is drawn is cut off from: nobody writes as much beside an outline."""
_MOSTLY: Final = 0.5
"""A mark belongs to a crowd if at least this part of it lies there."""


def printed(mask: Bytes, *, px_per_mm: float) -> Bools:
    """Where marks ``(h, w)`` cover much of a large area, ``(h, w)``: print or a weave."""
    import cv2

    full = (_covered(mask, px_per_mm) > _FULL).astype(np.uint8)
    _, labels, stats, _ = cv2.connectedComponentsWithStats(full, connectivity=4)
    large = stats[:, cv2.CC_STAT_AREA] >= _PRINTED_MM2 * px_per_mm**2
    large[0] = False
    return np.asarray(large[labels])


def without_crowds(mask: Bytes, *, px_per_mm: float, least_px: float) -> tuple[Bytes, int]:
    """Marks ``(h, w)`` without those in crowds, and how many large ones were left out; all marks where no large one would be left.

    Parameters
    ----------
    least_px : float
        Least width and height of a large mark.
    """
    import cv2

    count, labels, stats, middles = cv2.connectedComponentsWithStats(mask, connectivity=8)
    wide = _wide_px(px_per_mm)
    columns, rows = np.rint(middles).astype(np.int64).T
    one_each = np.zeros(mask.shape, dtype=np.float32)
    np.add.at(one_each, (rows[1:], columns[1:]), 1.0)
    marks = cv2.boxFilter(one_each, -1, (wide, wide), normalize=False)
    crowded = (marks > _MANY - 0.5) | (_covered(mask, px_per_mm) > _FULL)
    own, among = (np.bincount(where, minlength=count) for where in (labels.ravel(), labels[crowded]))
    alone = among < _MOSTLY * own
    large = stats[:, [cv2.CC_STAT_WIDTH, cv2.CC_STAT_HEIGHT]].min(axis=1) >= least_px
    alone[0] = large[0] = False  # the paper
    if not (alone & large).any():
        return mask, 0
    return alone[labels].astype(np.uint8), int((large & ~alone).sum())


def _covered(mask: Bytes, px_per_mm: float) -> Singles:
    """The part of a square round each place that marks cover, ``(h, w)``."""
    import cv2

    wide = _wide_px(px_per_mm)
    return np.asarray(cv2.boxFilter(mask.astype(np.float32), -1, (wide, wide)))


def _wide_px(px_per_mm: float) -> int:
    return round(_WIDE_MM * px_per_mm) | 1
