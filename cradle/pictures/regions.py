"""Which parts of a picture are things lying on the ground, whatever the light.

The *ground* is what most of the picture's border shows: a scanner's lid, a
mat, a table, or the paper inside the capture sheet's band. Its colour is
followed across the picture, so that uneven light and soft shadows do not
count; what differs from it in colour or brightness is a piece. All this is
decided in a small copy of the picture; edges are measured in the full one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from numpy.typing import NDArray

from cradle.noun import noun
from cradle.pictures.averaged import reduced
from cradle.pictures.masks import without_grain

if TYPE_CHECKING:
    from cradle.geometry.arrays import Bools, Bytes, Floats, Ints, Singles
    from cradle.pictures.image import Picture

_LONG_PX: Final = 900
_LEAST_DIFFERENCE: Final = 7.0
"""In CIE Lab units; under it lies paper's own unevenness."""
_LEAST_PART: Final = 2e-4
"""Smallest piece, as a part of the picture."""
_TOUCHES_PX: Final = 12
"""Small px of the rim of the sheet's middle that a piece covers when it lies over the marks as well."""
_CLEAR: Final = 2.0
"""What differs from the ground by so many times as much as it must is clear to see."""
_WIDEST_LINE_PX: Final = 9
"""Small px of a thin light line on dark ground at most: blur mixes light, so in levels it swells."""
_SMOOTH_PX: Final = 4
_STAGES: Final = ((7.0, 18.0), (6.5, 9.0), (6.0, 6.0))
"""Largest difference still taken for ground, and how far its colour is averaged, px of half the small copy."""


@noun
class Regions:
    """What lies on the ground.

    Attributes
    ----------
    labels : (h, w) int32
        In the small copy; 0 is ground or left out, pieces count from 1 in reading order.
    levels : (h, w, c) uint8
        The small copy itself.
    ground : (h, w, c) float32
        The ground's levels everywhere, also under the pieces.
    shrink : float
        Full pixels to a small one.
    boxes : tuple of (x, y, w, h)
        Of each piece, small px.
    cut_off : tuple of bool
        Whether each piece runs out of the picture, or over the sheet's marks.
    """

    labels: NDArray[np.int32]
    levels: Bytes
    ground: Singles
    shrink: float
    boxes: tuple[tuple[int, int, int, int], ...]
    cut_off: tuple[bool, ...]


def pieces_of(things: Regions, *, without: Sequence[Floats] = ()) -> Regions:
    """What is left to trace: nothing within the polygons, and nothing cut off where something whole is left.

    Parameters
    ----------
    things : Regions
        All that lies on the ground.
    without : sequence of (n, 2)
        Polygons in px: rules, cards.
    """
    mask = _left(np.asarray(things.labels > 0, dtype=np.uint8), without, things.shrink)
    labels, boxes = _numbered(np.asarray(mask, dtype=np.uint8))
    out = [_runs_out(box, mask.shape) for box in boxes]
    kept = [k for k in range(len(boxes)) if not out[k] or all(out)]  # a lid, a table lie beside the mat
    number = np.zeros(len(boxes) + 1, dtype=np.int32)
    number[[k + 1 for k in kept]] = np.arange(1, len(kept) + 1)
    cut = np.concatenate([[False], things.cut_off])[things.labels]
    return replace(
        things,
        labels=number[labels],
        boxes=tuple(boxes[k] for k in kept),
        cut_off=tuple(bool(cut[labels == k + 1].any()) for k in kept),
    )


def find_things(
    picture: Picture, *, keep_out: Sequence[Floats] = (), inside: Floats | None = None
) -> Regions:
    """All that lies on the ground of a picture, numbered in reading order.

    Parameters
    ----------
    picture : Picture
    keep_out : sequence of (n, 2)
        Polygons in px of what is not to be traced: rules, cards.
    inside : (n, 2), optional
        Look only within this polygon, px: the middle of the capture sheet.
    """
    import cv2

    shrink = max(1.0, max(picture.size_px) / _LONG_PX)
    size = (round(picture.size_px[0] / shrink), round(picture.size_px[1] / shrink))
    copy = reduced(picture.levels, size)
    small = np.atleast_3d(cv2.medianBlur(copy, 5))  # takes thin grid lines away
    usable = np.ones(small.shape[:2], dtype=np.uint8)
    if inside is not None:
        usable[:] = 0
        cv2.fillPoly(usable, [_small(inside, shrink)], 1)
    usable = _left(usable, keep_out, shrink)
    levels = small.astype(np.float32)
    half = (max(1, size[0] // 2), max(1, size[1] // 2))
    coarse = np.asarray(cv2.resize(levels, half, interpolation=cv2.INTER_AREA), dtype=np.float32)
    allowed = cv2.resize(usable, half, interpolation=cv2.INTER_NEAREST) > 0
    far_ground = _ground(coarse.reshape(half[1], half[0], -1), allowed)
    ground = np.asarray(cv2.resize(far_ground, size, interpolation=cv2.INTER_LINEAR), dtype=np.float32)
    ground = ground.reshape(levels.shape)
    difference = _apart(_lab(levels), _lab(ground))
    quiet = difference[(usable > 0) & (difference < _LEAST_DIFFERENCE)]
    limit = max(_LEAST_DIFFERENCE, 6.0 * float(np.median(quiet)) if quiet.size else 0.0)
    differs = ((difference > limit) & (usable > 0)).astype(np.uint8)
    mask = _without_lines(without_grain(differs, clear=(difference > _CLEAR * limit) & (usable > 0)))
    labels, boxes = _numbered(mask)
    cut_off = tuple(_runs_out(box, mask.shape) for box in boxes)
    if inside is not None:
        rim = _rim(_small(inside, shrink), mask.shape[:2])
        at_rim = np.bincount(labels[rim], minlength=len(boxes) + 1)[1:] >= _TOUCHES_PX
        cut_off = tuple(out or bool(touches) for out, touches in zip(cut_off, at_rim, strict=True))
    return Regions(labels=labels, levels=copy, ground=ground, shrink=shrink, boxes=boxes, cut_off=cut_off)


def _without_lines(mask: Bytes) -> Bytes:
    """The mask with what runs out of the picture parted from lines that light has spread: a mat's grid."""
    import cv2

    _, labels, stats, _ = cv2.connectedComponentsWithStats(mask, connectivity=4)
    out = np.array([_runs_out(tuple(box), mask.shape) for box in stats[:, :4].tolist()])
    out[0] = False  # the ground
    running = out[labels].astype(np.uint8)
    wide = np.ones((_WIDEST_LINE_PX, _WIDEST_LINE_PX), np.uint8)
    return np.where(running > 0, cv2.morphologyEx(running, cv2.MORPH_OPEN, wide), mask).astype(np.uint8)


def _rim(polygon: Ints, shape: tuple[int, ...]) -> Bools:
    """A narrow band along the inside of a polygon, ``(h, w)``."""
    import cv2

    whole = np.zeros(shape, dtype=np.uint8)
    cv2.fillPoly(whole, [polygon], 1)
    return np.asarray((whole > 0) & (cv2.erode(whole, np.ones((7, 7), np.uint8)) == 0))


def _small(polygon: Floats, shrink: float) -> Ints:
    return np.rint((np.asarray(polygon) + 0.5) / shrink - 0.5).astype(np.int32)


def _apart(a: Singles, b: Singles) -> Singles:
    """Distance of colours, ``(h, w)``, Lab units."""
    off = a - b
    return np.sqrt(np.einsum("ijk,ijk->ij", off, off))


def _ground(small: Singles, usable: Bools) -> Singles:
    """Levels of the ground everywhere, ``(h, w, c)``."""
    import cv2

    h, w, c = small.shape
    lab = _lab(small)
    rim = np.zeros((h, w), dtype=bool)
    inner = cv2.erode(usable.astype(np.uint8), np.ones((3, 3), np.uint8), borderValue=0)
    thick = max(4, round(0.05 * min(h, w)))
    rim[:] = usable & (
        cv2.erode(inner, np.ones((2 * thick + 1, 2 * thick + 1), np.uint8), borderValue=0) == 0
    )
    seen = lab[rim] if rim.sum() > 50 else lab[usable]
    bins = np.rint(seen / 6.0).astype(np.int64)
    values, counts = np.unique(bins, axis=0, return_counts=True)
    mode = seen[(np.abs(bins - values[counts.argmax()]) <= 1).all(axis=1)].mean(axis=0)
    y, x = np.mgrid[0:h, 0:w].astype(np.float32)
    x, y = 2 * x / w - 1, 2 * y / h - 1
    terms = np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], axis=-1)
    near = usable & (_apart(lab, np.broadcast_to(mode, lab.shape)) < 7.0)
    ground = np.broadcast_to(small[near].mean(axis=0) if near.any() else small.mean(axis=(0, 1)), small.shape)
    for count, limit in ((3, 7.0), (3, 8.0), (3, 9.0), (6, 9.0), (6, 8.0), (6, 7.0)):
        if near.sum() < 60:
            break
        picked = np.flatnonzero(near.ravel())
        picked = picked[:: max(1, len(picked) // 20000)]
        basis = terms.reshape(-1, 6)[:, :count]
        fit, *_ = np.linalg.lstsq(basis[picked], small.reshape(-1, c)[picked], rcond=None)
        ground = (basis @ fit).reshape(h, w, c).astype(np.float32)
        near = usable & (_apart(lab, _lab_of_smooth(ground)) < limit)
    difference = _apart(lab, _lab_of_smooth(ground))
    for limit, sigma in _STAGES:
        sure = cv2.erode((usable & (difference < limit)).astype(np.uint8), np.ones((3, 3), np.uint8))
        weight = np.asarray(sure, dtype=np.float32)
        spread = cv2.GaussianBlur(weight, (0, 0), sigma)
        change = np.atleast_3d(cv2.GaussianBlur((small - ground) * weight[..., None], (0, 0), sigma))
        if change.shape != small.shape:
            change = change.reshape(small.shape)
        ground = ground + change / (spread + 0.02)[..., None]
        difference = _apart(lab, _lab(ground))
    return ground.astype(np.float32)


def _lab(levels: NDArray[Any]) -> Singles:
    """CIE Lab of 8-bit levels; of grey, L alone."""
    import cv2

    clipped = np.clip(levels, 0, 255).astype(np.float32) / 255.0
    if clipped.shape[-1] == 1:
        grey = np.repeat(clipped, 3, axis=-1)
        return np.asarray(cv2.cvtColor(grey, cv2.COLOR_RGB2LAB)[..., :1])
    return np.asarray(cv2.cvtColor(np.ascontiguousarray(clipped), cv2.COLOR_RGB2LAB))


def _lab_of_smooth(levels: Singles) -> Singles:
    """CIE Lab of levels that hardly change from one pixel to the next, by every fourth."""
    import cv2

    h, w = levels.shape[:2]
    few = cv2.resize(levels, (max(1, w // _SMOOTH_PX), max(1, h // _SMOOTH_PX)), interpolation=cv2.INTER_AREA)
    found = cv2.resize(_lab(np.atleast_3d(few)), (w, h), interpolation=cv2.INTER_LINEAR)
    return np.asarray(found, dtype=np.float32).reshape(h, w, -1)


def _left(mask: Bytes, polygons: Sequence[Floats], shrink: float) -> Bytes:
    """A mask of the small copy without what polygons in px cover, their rims included."""
    import cv2

    mask = mask.copy()
    for polygon in polygons:
        cv2.fillPoly(mask, [_small(polygon, shrink)], 0)
        cv2.polylines(mask, [_small(polygon, shrink)], isClosed=True, color=0, thickness=2)
    return mask


def _runs_out(box: tuple[int, int, int, int], shape: tuple[int, ...]) -> bool:
    """Whether a box reaches the border of the small copy."""
    x, y, wide, high = box
    return x <= 1 or y <= 1 or x + wide >= shape[1] - 1 or y + high >= shape[0] - 1


def _numbered(mask: Bytes) -> tuple[NDArray[np.int32], tuple[tuple[int, int, int, int], ...]]:
    """Labels of the mask's pieces in reading order, and their boxes."""
    import cv2

    h, w = mask.shape
    count, raw, stats, _ = cv2.connectedComponentsWithStats(_solid(mask), connectivity=4)
    boxes = np.asarray(stats[:, :4])
    large = stats[:, 4] >= max(20, _LEAST_PART * h * w)
    large[0] = False  # the ground
    kept = np.flatnonzero(large)
    ranked = kept[reading_order(boxes[kept].tolist())]
    number = np.zeros(count, dtype=np.int32)
    number[ranked] = np.arange(1, len(ranked) + 1)
    return number[raw], tuple((x, y, wide, high) for x, y, wide, high in boxes[ranked].tolist())


def _solid(mask: Bytes) -> Bytes:
    """The mask with what lies within a whole piece filled: it belongs to the piece."""
    import cv2

    h, w = mask.shape
    rings, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    whole = [r for r in rings if r.min() > 1 and r[..., 0].max() < w - 2 and r[..., 1].max() < h - 2]
    return np.asarray(cv2.drawContours(mask.copy(), whole, -1, 1, cv2.FILLED), dtype=np.uint8)


def reading_order(boxes: Sequence[Any]) -> list[int]:
    """The order in which to number boxes ``(x, y, w, h)``: row by row, left to right.

    Boxes share a row when they overlap by half of the lower one's height.

    Examples
    --------
    >>> reading_order([(50, 12, 10, 20), (5, 10, 10, 20), (0, 60, 9, 9)])
    [1, 0, 2]
    """
    rest = sorted(range(len(boxes)), key=lambda i: (boxes[i][1], boxes[i][0]))
    order: list[int] = []
    while rest:
        top = boxes[rest[0]]
        row = [
            i
            for i in rest
            if min(top[1] + top[3], boxes[i][1] + boxes[i][3]) - max(top[1], boxes[i][1])
            >= 0.5 * min(top[3], boxes[i][3])
        ]
        order += sorted(row, key=lambda i: boxes[i][0])
        rest = [i for i in rest if i not in row]
    return order
