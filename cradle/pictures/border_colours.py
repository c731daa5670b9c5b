"""Things of colours that the picture's border does not show, on ground of several colours.

A flowered or checked cloth, newsprint, or a table before a wall is no one colour that could be followed; but whatever it
shows, it mostly shows along the picture's border too. What is of none of these colours was laid down on it. Each thing is
told from what lies beside it there, whatever that is.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.pictures import masks
from cradle.pictures.ground import apart, lab_of
from cradle.pictures.regions import RIM_PX, Regions, numbered, runs_out

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from numpy.typing import NDArray

    from cradle.geometry.arrays import Bools, Bytes, Floats, Singles

_RIM: Final = 0.1
"""Width of the band along the border whose colours are the ground's, as part of the shorter side."""
_BIN: Final = 4.0
"""Width of the bins in which colours are counted, CIE Lab units, ..."""
_ALIKE_BINS: Final = 2
"""... and how many bins from one that the border shows a colour still counts as shown."""
_COMMON: Final = 4e-4
"""Least part of the band that a colour of the ground covers: an eighth of a flower's leaf, and no noise."""
_LEAST_PX: Final = 3
_WIDE_PX: Final = 7
"""What is narrower, small px, is where two colours of the ground mix, or a line."""
_LIGHT_PX: Final = 15.0
"""The ground's brightness is followed over this distance (standard deviation, small px)."""
_BESIDE_PX: Final = 3
"""Width of what is left out on either side of a thing's rim, small px: the picture's blur lies there."""
_STEP: Final = 8.0
"""Least difference of a thing from what lies beside it at a place of its rim, CIE Lab units ..."""
_ROUND: Final = 0.95
"""... at this part of its rim at least: one of the ground's own colours is seen in parts only, which end anywhere."""
_AS_LARGE: Final = 0.25
"""What else is whole is kept where it is larger than this part of the largest such thing."""


def unlike_border(
    regions: Regions,
    *,
    of_ground: Collection[int],
    keep_out: Sequence[Floats] = (),
    inside: Floats | None = None,
) -> Regions:
    """The things of a picture, those of colours that its border does not show in place of whatever they were part of.

    Parameters
    ----------
    regions : Regions
        What differs from the ground's usual colour.
    of_ground : collection of int
        Numbers of those that are known as the ground's letters or pattern.
    keep_out : sequence of (n, 2)
        Polygons in px of what is not looked at: rules, cards.
    inside : (n, 2), optional
        Look only within this polygon, px: the middle of the capture sheet.

    Returns
    -------
    Regions
        The same where there is none such; else each is cut off, as it were, where it was joined to what runs out of the picture.
    """
    import cv2

    shape = regions.labels.shape
    plain = np.atleast_3d(cv2.medianBlur(regions.levels, 5)).astype(np.float32)
    usable = regions.usable(keep_out=keep_out, inside=inside, rim_px=RIM_PX)
    whole = [number for number, box in enumerate(regions.boxes, start=1) if not runs_out(box, shape)]
    laid = np.isin(regions.labels, [number for number in whole if number not in of_ground])
    ground = _border_band(usable) & (usable > 0) & ~laid
    new = ~colours_shown(lab_of(_evenly_lit(plain, regions.ground)), ground) & (usable > 0)
    found = _distinct(plain, masks.opened(new.astype(np.uint8), _WIDE_PX))
    if not found.any():
        return regions
    labels, boxes = numbered((found | _others(regions.labels, laid, found)).astype(np.uint8))
    in_whole = np.isin(regions.labels, whole)
    return replace(
        regions,
        labels=labels,
        boxes=boxes,
        ground=masks.from_nearest(plain, masks.grown_by(labels > 0, _BESIDE_PX) == 0),
        cut_off=tuple(bool(in_whole[labels == number].mean() < 0.5) for number in range(1, len(boxes) + 1)),
        cut_alike=(),
        many_grounds=True,
    )


def _distinct(levels: Singles, mask: Bytes) -> Bools:
    """The parts of a mask that lie whole in the picture and differ from what lies beside them nearly all round, ``(h, w)``."""
    labels, boxes = numbered(mask)
    steps = _steps(levels, labels > 0)
    kept = [
        number
        for number, box in enumerate(boxes, start=1)
        if not runs_out(box, mask.shape) and (steps[_rim_of(labels == number)] > _STEP).mean() > _ROUND
    ]
    return np.isin(labels, kept)


def _others(labels: NDArray[np.int32], laid: Bools, found: Bools) -> Bools:
    """Those of the things that were laid down which hold nothing of what was found, and are about as large as what was."""
    area = np.bincount(labels[laid], minlength=int(labels.max()) + 1)
    largest = np.bincount(numbered(found.astype(np.uint8))[0][found]).max()
    return np.isin(labels, np.flatnonzero(area > _AS_LARGE * largest)) & ~np.isin(
        labels, labels[found & laid]
    )


def _border_band(usable: Bytes) -> Bools:
    """The band along the border of what is looked at, ``(h, w)``."""
    all_of_it = masks.without_holes(usable)
    return all_of_it & (masks.shrunk_by(all_of_it, round(_RIM * min(usable.shape))) == 0)


def _evenly_lit(levels: Singles, ground: Singles) -> Singles:
    """Levels ``(h, w, c)`` as they would be if the ground were as bright everywhere as it is in the middle of its range."""
    import cv2

    light = np.maximum(cv2.GaussianBlur(ground.mean(axis=2), (0, 0), _LIGHT_PX), 8.0)
    return np.asarray(levels * (np.median(light) / light)[..., None], dtype=np.float32)


def colours_shown(lab: Singles, where: Bools) -> Bools:
    """Where colours ``(h, w, c)`` are among those that are common in a part of the picture."""
    bins = np.rint(lab / _BIN).astype(np.int64)
    bins -= bins.min(axis=(0, 1)) - _ALIKE_BINS
    size = tuple(bins.max(axis=(0, 1)) + 1 + _ALIKE_BINS)
    place = np.ravel_multi_index(tuple(np.moveaxis(bins, -1, 0)), size)
    count = np.bincount(place[where], minlength=int(np.prod(size))).reshape(size)
    shown = count >= max(_LEAST_PX, _COMMON * where.sum())
    for axis in range(shown.ndim):
        for _ in range(_ALIKE_BINS):
            shown = shown | np.roll(shown, 1, axis) | np.roll(shown, -1, axis)
    return np.asarray(shown.ravel()[place])


def _steps(levels: Singles, things: Bools) -> Singles:
    """How far what lies inside the rims of things differs from what lies beside them, at the nearest place, CIE Lab units, ``(h, w)``."""
    inside, beside = masks.shrunk_by(things, _BESIDE_PX) > 0, masks.grown_by(things, _BESIDE_PX) == 0
    return apart(
        *(lab_of(masks.from_nearest(levels, seen)) for seen in (inside if inside.any() else things, beside))
    )


def _rim_of(thing: Bools) -> Bools:
    """The pixels of a thing along its rim, ``(h, w)``."""
    return thing & (masks.shrunk_by(thing, 1) == 0)
