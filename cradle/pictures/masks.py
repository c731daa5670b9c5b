"""Masks of a picture, 0 or 1: grown, shrunk, filled, and freed of noise."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, TypeVar

import numpy as np
from numpy.typing import NDArray

from cradle.geometry.arrays import Bools, Bytes, Floats

_Value = TypeVar("_Value", bound=np.generic)

_SLENDER_PX: Final = 40
"""Something narrower than five small px counts only where it is longer than this, small px."""
_BUMP_PX: Final = 9
"""Bumps that lines of the ground add to a thing's sides are narrower than this, small px."""
_MOSTLY: Final = 0.9
"""Part of its area that a thing keeps where what was taken off were only bumps."""


def filled(polygon_px: Floats, shape: tuple[int, ...]) -> Bytes:
    """A mask of a ``shape`` of rows and columns, 1 within a polygon ``(n, 2)`` px and on its rim."""
    import cv2

    return np.asarray(cv2.fillPoly(np.zeros(shape[:2], np.uint8), [_at_pixels(polygon_px)], 1))


def from_nearest(values: NDArray[_Value], seen: Bools) -> NDArray[_Value]:
    """Values ``(h, w)`` or ``(h, w, c)``, each that of the nearest place that is seen."""
    import cv2

    _, nearest = cv2.distanceTransformWithLabels(
        1 - seen.astype(np.uint8), cv2.DIST_L2, cv2.DIST_MASK_5, labelType=cv2.DIST_LABEL_PIXEL
    )
    place = np.zeros(int(nearest.max()) + 1, dtype=np.int64)
    place[nearest[seen]] = np.flatnonzero(seen)
    return values.reshape(-1, *values.shape[2:])[place[nearest]]


def usable(
    shape: tuple[int, ...], *, inside: Floats | None, keep_out: Sequence[Floats], rim_px: int
) -> Bytes:
    """A mask of a ``shape`` of rows and columns, 1 within ``inside``, ``(n, 2)`` px, or all over where there is none, `without` what to keep out."""
    mask = np.ones(shape[:2], np.uint8) if inside is None else filled(inside, shape)
    return without(mask, keep_out, rim_px=rim_px)


def without(mask: Bytes, polygons_px: Sequence[Floats], *, rim_px: int) -> Bytes:
    """A mask without what polygons cover, and without a line ``rim_px`` thick along their rims."""
    import cv2

    mask = mask.copy()
    for corners in map(_at_pixels, polygons_px):
        cv2.fillPoly(mask, [corners], 0)
        cv2.polylines(mask, [corners], isClosed=True, color=0, thickness=rim_px)
    return mask


def _at_pixels(points_px: Floats) -> NDArray[np.int32]:
    return np.rint(points_px).astype(np.int32)


def shrunk_by(mask: Bytes | Bools, by: int) -> Bytes:
    """A mask eroded by ``by`` pixels on every side, with a square kernel; beyond the picture lies nothing of it."""
    if 2 * by >= min(mask.shape):  # nothing lies so deep inside
        return np.zeros(mask.shape, np.uint8)
    import cv2

    return np.asarray(cv2.erode(mask.astype(np.uint8), _square(by), borderValue=0))


def grown_by(mask: Bytes | Bools, by: int) -> Bytes:
    """A mask dilated by ``by`` pixels on every side, with a square kernel."""
    import cv2

    return np.asarray(cv2.dilate(mask.astype(np.uint8), _square(by)))


def parts_holding(mask: Bytes, places: Bools, *, neighbours: int = 4) -> Bools:
    """The parts of a mask that hold some of the places, ``(h, w)``.

    Parameters
    ----------
    neighbours : int
        How many of the pixels around one may join it to a part: 4, or 8 with those at its corners.
    """
    import cv2

    _, parts = cv2.connectedComponents(mask, connectivity=neighbours)
    return (mask > 0) & np.isin(parts, parts[places])


def opened(mask: Bytes, wide_px: int) -> Bytes:
    """A mask without what is narrower than a square of this side."""
    import cv2

    return np.asarray(cv2.morphologyEx(mask, cv2.MORPH_OPEN, np.ones((wide_px, wide_px), np.uint8)))


def _square(by: int) -> Bytes:
    return np.ones((2 * by + 1, 2 * by + 1), np.uint8)


def without_holes(mask: Bytes | Bools) -> Bools:
    """A mask with the holes of all its parts filled."""
    import cv2

    whole = mask.astype(np.uint8)
    rings, _ = cv2.findContours(whole, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    return np.asarray(cv2.drawContours(whole, rings, -1, 1, cv2.FILLED) > 0)


def without_grain(differs: Bytes, *, clear: Bools) -> Bytes:
    """A mask without noise, ``(h, w)``.

    What is five small px wide or wider stays. So does a part mostly narrower, but at least three wide, if it is long,
    lies whole in the picture, and most of it differs clearly.

    Parameters
    ----------
    differs : (h, w) uint8
        Where a picture differs from its ground.
    clear : (h, w) bool
        Where it differs clearly.
    """
    import cv2

    wide, thin = opened(differs, 5), opened(differs, 3)
    count, labels, stats, _ = cv2.connectedComponentsWithStats(thin, connectivity=8)
    kept = np.hypot(stats[:, 2], stats[:, 3]) > _SLENDER_PX
    kept &= 2 * np.bincount(labels[clear], minlength=count) > stats[:, 4]
    kept &= 2 * np.bincount(labels[wide > 0], minlength=count) < stats[:, 4]
    sides = (labels[:2], labels[-2:], labels[:, :2], labels[:, -2:])
    rim = np.concatenate([side.ravel() for side in sides])
    kept[np.unique(np.concatenate([[0], rim]))] = False
    return np.asarray(wide | kept[labels], dtype=np.uint8)


def without_bumps(mask: Bytes) -> Bytes:
    """The mask of a thing without the bumps that lines of the ground add to its sides; unchanged where much of the thing is as narrow."""
    plain = opened(mask, _BUMP_PX)
    return plain.astype(np.uint8) if plain.sum() > _MOSTLY * mask.sum() else mask
