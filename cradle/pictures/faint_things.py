"""Things of nearly the ground's colour, which `cradle.pictures.regions` takes for the ground's own unevenness.

Light changes little by little, and so do the rims of shadows; what was laid down, however pale, ends at an edge. So
what differs a little from a surface of second degree through the ground is a thing where its rim is a step, to the
same side nearly all round. Folds, lines and writing are too narrow for one, and grain leaves none.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from cradle.pictures import masks
from cradle.pictures.ground import apart, ground_of, lab_of, lab_of_smooth, surface_of
from cradle.pictures.regions import LEAST_DIFFERENCE, Regions, numbered, runs_out

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from cradle.geometry.arrays import Bools, Bytes, Floats, Ints, Singles
    from cradle.pictures.regions import Box

_FAINT: Final = (2.5, 3.5, 5.0)
"""CIE Lab units by which a thing may differ from the ground, each tried: less is hardly to be seen."""
_ABOVE_NOISE: Final = 4.0
"""A thing differs from the surface by at least this many times what the ground usually does."""
_AS_MEDIAN: Final = 1.5
"""What the ground usually differs by is this many times the lower quartile: the median will not do where faint things cover half
of what is seen."""
_BESIDE_PX: Final = 8
"""Width of what is left out round what is clear to see, small px: shadows lie there, and blur."""
_LEAST_PX: Final = 15
_LEAST_PART: Final = 1.5e-3
"""Least width, small px, and least area, as a part of the picture, of a thing: dust, folds and writing have less."""
_WIDEST_LINE_PX: Final = 5
"""What is narrower, small px, is a line of writing or a fold."""
_SMOOTHED_PX: Final = 1.2
"""Levels are blurred by this (standard deviation, small px)."""
_BLUR_PX: Final = 2.0
"""Width on either side of a rim that this and the picture's own blur take, small px: it is not looked at."""
_RIM_PX: Final = 3.0
"""Width of the bands beyond, inside and outside the rim, that are compared, small px."""
_AROUND_PX: Final = 9
"""Width of the ground that is looked at round a thing, small px."""
_LEAST_SEEN: Final = 30
"""Fewest pixels that tell the colour of a thing or of its ground."""
_STRETCHES: Final = 24
"""Number of equal stretches of a rim, each looked at for itself."""
_STEP: Final = 0.5
"""A stretch is a step if it changes by more than this part of the whole difference between thing and ground."""
_ROUND: Final = 0.7
"""Part of a thing's stretches that are steps at least: of rendered pale cards 0.7 to 1, beside shadows, folds, grain and uneven
light 0.6 at most."""


def faint_things(
    regions: Regions, *, keep_out: Sequence[Floats] = (), inside: Floats | None = None
) -> Regions:
    """The faint things on a picture's ground, numbered in reading order, with the ground as it is followed without them.

    Parameters
    ----------
    regions : Regions
        What is clear to see.
    keep_out : sequence of (n, 2)
        Polygons in px of what is not looked at: rules, cards.
    inside : (n, 2), optional
        Look only within this polygon, px: the middle of the capture sheet.
    """
    import cv2

    shape = regions.labels.shape
    plain = cv2.GaussianBlur(cv2.medianBlur(regions.levels, 5), (0, 0), _SMOOTHED_PX)
    levels = plain.astype(np.float32).reshape(*shape, -1)
    lab = lab_of(levels)
    clear = apart(lab, lab_of_smooth(regions.ground)) > LEAST_DIFFERENCE
    usable = regions.usable(keep_out=keep_out, inside=inside, rim_px=2 * _BESIDE_PX)
    usable &= 1 - masks.grown_by(clear, _BESIDE_PX)
    ground = surface_of(levels, usable)
    found = _found(lab, lab_of_smooth(ground), usable)
    # a ground followed without them is nearer to the true one, and tells better how far they reach
    if found.any():
        ground = ground_of(levels, usable & (1 - masks.grown_by(found, _WIDEST_LINE_PX)))
        found = _found(lab, lab_of_smooth(ground), usable)
    labels, boxes = numbered(found)
    return replace(
        regions, labels=labels, ground=ground, boxes=boxes, cut_off=(False,) * len(boxes), cut_alike=()
    )


def _found(lab: Singles, ground: Singles, usable: Bytes) -> Bytes:
    """Where faint things are, ``(h, w)``: each at the level of `_FAINT` at which its rim is sharpest."""
    import cv2

    off = apart(lab, ground)
    seen = off[usable > 0]
    noise = _AS_MEDIAN * float(np.quantile(seen, 0.25)) if seen.size else np.inf
    square = np.ones((_WIDEST_LINE_PX, _WIDEST_LINE_PX), np.uint8)
    sharp: list[tuple[float, tuple[slice, slice], Bools]] = []
    for level in (each for each in _FAINT if each >= _ABOVE_NOISE * noise):
        mask = cv2.morphologyEx(((off > level) & (usable > 0)).astype(np.uint8), cv2.MORPH_OPEN, square)
        _, labels, stats, _ = cv2.connectedComponentsWithStats(mask, connectivity=4)
        for number, around in _large(np.asarray(stats, dtype=np.int64), mask.shape):
            own = labels[around] == number
            part = _sharp_part(own, usable[around] > 0, lab[around])
            if part >= _ROUND:
                sharp.append((part, around, own))
    found = np.zeros_like(usable)
    for _, around, own in sorted(sharp, key=lambda each: -each[0]):
        if not found[around][own].any():
            found[around] |= own
    return found


def _large(stats: Ints, shape: tuple[int, ...]) -> Iterator[tuple[int, tuple[slice, slice]]]:
    """The parts of a mask that are large enough and whole in the picture: the number of each, and the window around it."""
    for number, (x, y, wide, high, area) in enumerate(stats.tolist()):
        box: Box = (x, y, wide, high)
        if min(wide, high) < _LEAST_PX or area < _LEAST_PART * shape[0] * shape[1] or runs_out(box, shape):
            continue
        rows, columns = (
            slice(max(0, low - _AROUND_PX), low + long + _AROUND_PX) for low, long in ((y, high), (x, wide))
        )
        yield number, (rows, columns)


def _sharp_part(own: Bools, usable: Bools, lab: Singles) -> float:
    """The part of a thing's rim, 0 to 1, at which the colour steps as it does from the ground to the thing as a whole."""
    import cv2

    solid, stretch = masks.without_holes(own).astype(np.uint8), _stretches(own)
    into, out = (cv2.distanceTransform(side, cv2.DIST_L2, 5) - _BLUR_PX for side in (solid, 1 - solid))
    inner, outer = (into > 0) & (into <= _RIM_PX), (out > 0) & (out <= _RIM_PX) & usable
    inside = inner if (into > _RIM_PX).sum() < _LEAST_SEEN else into > _RIM_PX
    around = (out > _RIM_PX) & usable
    if min(inside.sum(), around.sum()) < _LEAST_SEEN:
        return 0.0
    whole = np.median(lab[inside], axis=0) - np.median(lab[around], axis=0)
    size = float(np.linalg.norm(whole))
    along = lab @ whole
    steps = [
        float(np.median(along[inner & here]) - np.median(along[outer & here]))
        for here in (stretch == number for number in range(_STRETCHES))
        if (inner & here).any() and (outer & here).any()
    ]
    return sum(step > _STEP * size**2 for step in steps) / _STRETCHES if size > _FAINT[0] else 0.0


def _stretches(own: Bools) -> NDArray[np.int32]:
    """The number of the stretch of a thing's rim that is nearest to each pixel, ``(h, w)``; all stretches are as long."""
    import cv2

    rings, _ = cv2.findContours(own.astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    ring = max(rings, key=len)[:, 0]
    stretch = np.full(own.shape, -1, dtype=np.int32)
    stretch[ring[:, 1], ring[:, 0]] = np.arange(len(ring)) * _STRETCHES // len(ring)
    return masks.from_nearest(stretch, stretch >= 0)
