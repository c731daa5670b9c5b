"""Parts of a pattern that touch a piece: a flower of the cloth under its rim.

They are of the pattern's colours and not of the piece's, and stick out of it. One of the piece's own colour cannot be told.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.pictures import masks
from cradle.pictures.border_colours import colours_shown
from cradle.pictures.ground import apart, lab_of
from cradle.pictures.regions import Regions, numbered

if TYPE_CHECKING:
    from collections.abc import Collection

    from cradle.geometry.arrays import Bools, Singles

_CORE_PX: Final = 8
"""From this far inside its rim on, small px, a piece shows its own colour."""
_OWN: Final = 14.0
"""What differs from that by less, CIE Lab units, is of it."""
_WIDE_PX: Final = 7
"""What is narrower, small px, is a stem, or where two colours mix."""
_MIXED_PX: Final = 3
"""So far beside a part of the pattern its colour and another mix, small px."""
_OUTSIDE: Final = 0.6
"""A part of the pattern lies by more than this part of it outside the hull of the rest, and more of it beside the ground than beside the
piece: print on a piece does not."""


def without_touching(regions: Regions, pattern: Collection[int]) -> Regions:
    """The things of a picture, without the parts of the ground's pattern that touch those which are none; the same where none does.

    Parameters
    ----------
    pattern : collection of int
        Numbers of the things that are known as the ground's pattern.
    """
    import cv2

    lab = lab_of(np.atleast_3d(cv2.medianBlur(regions.levels, 5)).astype(np.float32))
    parts = np.isin(regions.labels, list(pattern))
    of_pattern = colours_shown(lab, parts)
    mask = (regions.labels > 0).astype(np.uint8)
    for number in range(1, len(regions.boxes) + 1):
        if number not in pattern and not regions.cut_off[number - 1]:
            mask[_touching(lab, regions.labels == number, of_pattern)] = 0
    if mask.sum() == (regions.labels > 0).sum():
        return regions
    labels, boxes = numbered(mask)
    return replace(regions, labels=labels, boxes=boxes, cut_off=(False,) * len(boxes))


def _touching(lab: Singles, thing: Bools, of_pattern: Bools) -> Bools:
    """What of a thing is a part of the pattern that touches it, ``(h, w)``."""
    import cv2

    core = masks.shrunk_by(thing, _CORE_PX) > 0
    if not core.any():
        return core
    unlike = apart(lab, np.broadcast_to(np.median(lab[core], axis=0).astype(np.float32), lab.shape)) > _OWN
    foreign = thing & unlike & of_pattern
    own = masks.parts_holding(masks.opened((thing & ~unlike).astype(np.uint8), _WIDE_PX), core)
    if not own.any():  # of many colours itself
        return own
    ring = max(cv2.findContours(own.astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)[0], key=len)
    hull = cv2.fillConvexPoly(np.zeros(thing.shape, np.uint8), cv2.convexHull(ring), 1) > 0
    count, parts = cv2.connectedComponents(foreign.astype(np.uint8), connectivity=8)
    area, outside, by_ground, by_own = (
        np.bincount(parts[where], minlength=count)
        for where in (foreign, ~hull, *(masks.grown_by(beside, _MIXED_PX) > 0 for beside in (~thing, own)))
    )
    sticks_out = (outside > _OUTSIDE * area) & (by_ground > by_own)
    sticks_out[0] = False
    return (masks.grown_by(sticks_out[parts], _MIXED_PX) > 0) & thing & ~own
