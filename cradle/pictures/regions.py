"""Which parts of a picture are things lying on the ground, whatever the light.

The *ground* is what most of the picture's border shows: a scanner's lid, a
mat, a table, or the paper inside the capture sheet's band. Its colour is
followed across the picture, so that uneven light and soft shadows do not
count; what differs from it in colour or brightness is a piece. All this is
decided in a small copy of the picture; edges are measured in the full one.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from cradle.noun import noun
from cradle.pictures import masks
from cradle.pictures.averaged import from_copy, in_copy, reduced
from cradle.pictures.border import Border
from cradle.pictures.ground import colour_difference, ground_of
from cradle.pictures.sampled import nearest
from cradle.pictures.soft_shadows import followed_into, soft_shadows

if TYPE_CHECKING:
    from cradle.geometry.arrays import Bools, Bytes, Floats, Ints, Singles
    from cradle.pictures.image import Picture

_LONG_PX: Final = 900
LEAST_DIFFERENCE: Final = 7.0
"""Least difference of a thing from the ground, CIE Lab units: paper's own unevenness is less."""
_ABOVE_NOISE: Final = 6.0
"""What differs from the ground by more than this many times the median noise there is no noise."""
_LEAST_PART: Final = 2e-4
"""Smallest piece, as a part of the picture."""
_TOUCHES_PX: Final = 12
"""A piece that covers this many small px of the band just inside the rim of the sheet's middle lies over the marks as well."""
_CROSSES_PX: Final = 24
"""What covers this many small px of the rim itself surely lies over it: a shadow, a hand, a table's pattern beside a sheet of paper."""
CLEAR: Final = 2.0
"""What differs from the ground by this many times the threshold is clear to see."""
_WIDEST_LINE_PX: Final = 9
"""Greatest width of a thin light line on dark ground, small px: blur mixes light, so in levels it swells."""
_JOINT_PX: Final = (15, 20)
"""Greatest width of a joint between tiles, small px, and least width of what stays where joints were: what is no wider is a part of one, or where two cross."""
RIM_PX: Final = 2
"""Small px taken out round what is not to be traced."""

Box: TypeAlias = tuple[int, int, int, int]
"""Least x and y, width and height, px."""


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
    boxes : tuple of Box
        Of each piece, small px.
    cut_off : tuple of bool
        Whether each piece runs out of the picture, or over the sheet's marks.
    over_rim : tuple of bool
        Whether each piece surely lies over the rim of the polygon that was looked at; empty where all of the picture was.
    cut_alike : tuple of Box
        Boxes, small px, of what was left out because it runs out of the picture or over that rim, but looks like a
        whole piece.
    shadows : tuple of Box
        Boxes of soft shadows that were taken for ground, small px.
    many_grounds : bool
        The ground has several colours: its levels are those beside each thing.
    """

    labels: NDArray[np.int32]
    levels: Bytes
    ground: Singles
    shrink: float
    boxes: tuple[Box, ...]
    cut_off: tuple[bool, ...]
    over_rim: tuple[bool, ...] = ()
    cut_alike: tuple[Box, ...] = ()
    shadows: tuple[Box, ...] = ()
    many_grounds: bool = False

    def in_small(self, points_px: Floats) -> Floats:
        """Points of the picture in small px."""
        return in_copy(points_px, times=self.shrink)

    def in_picture(self, points: Floats) -> Floats:
        """Points of the small copy in the picture's px."""
        return from_copy(points, times=self.shrink)

    def usable(self, *, keep_out: Sequence[Floats], inside: Floats | None, rim_px: int) -> Bytes:
        """`masks.usable` of the small copy, for polygons of the picture."""
        return masks.usable(
            self.labels.shape,
            inside=None if inside is None else self.in_small(inside),
            keep_out=[self.in_small(polygon) for polygon in keep_out],
            rim_px=rim_px,
        )

    def numbers_at(self, places_px: Floats) -> Ints:
        """Number of the thing at each of ``(n, 2)`` places in the picture, ``(n,)``; 0 where there is none."""
        return nearest(self.labels, self.in_small(places_px)).astype(np.int64)

    def borders_of(self, number: int) -> tuple[Border, ...]:
        """The borders of the picture that a thing reaches."""
        return self.borders_at(self.boxes[number - 1])

    def borders_at(self, box: Box) -> tuple[Border, ...]:
        """The borders of the picture that a box, small px, reaches."""
        return _borders(box, self.labels.shape)

    def mask_of(self, number: int) -> Bytes:
        """1 where a thing is, ``(h, w)``, within its box."""
        x, y, wide, high = self.boxes[number - 1]
        return (self.labels[y : y + high, x : x + wide] == number).astype(np.uint8)

    def point_on(self, number: int) -> tuple[float, float]:
        """The point of the picture, px, that lies deepest inside a thing."""
        import cv2

        deep = cv2.distanceTransform(np.pad(self.mask_of(number), 1), cv2.DIST_L2, 5)
        x, y, _, _ = self.boxes[number - 1]
        row, column = np.unravel_index(int(deep.argmax()), deep.shape)
        at = self.in_picture(np.array([x + column - 1.0, y + row - 1.0]))
        return float(at[0]), float(at[1])


def find_things(
    picture: Picture, *, keep_out: Sequence[Floats] = (), inside: Floats | None = None
) -> Regions:
    """All that lies on the ground of a picture, numbered in reading order.

    Parameters
    ----------
    keep_out : sequence of (n, 2)
        Polygons in px of what is not to be traced: rules, cards.
    inside : (n, 2), optional
        Look only within this polygon, px: the middle of the capture sheet.
    """
    import cv2

    shrink = max(1.0, max(picture.size_px) / _LONG_PX)
    size = (round(picture.size_px[0] / shrink), round(picture.size_px[1] / shrink))
    copy = reduced(picture.levels, size)
    levels = np.atleast_3d(cv2.medianBlur(copy, 5)).astype(np.float32)  # takes thin grid lines away
    within = None if inside is None else in_copy(inside, times=shrink)
    polygons = [in_copy(polygon, times=shrink) for polygon in keep_out]
    usable = masks.usable(levels.shape, inside=within, keep_out=polygons, rim_px=RIM_PX)
    ground = ground_of(levels, usable)
    mask, differs = _unlike(levels, ground, usable)
    shadow = soft_shadows(levels, ground, differs, usable)
    labels, boxes = numbered(mask)
    shadows: tuple[Box, ...] = ()
    if shadow.any():
        lit = followed_into(levels, ground, (usable > 0) & ((differs == 0) | shadow))
        beside = numbered(_unlike(levels, lit, usable)[0])
        if beside[1]:
            (labels, boxes), ground = beside, lit
            shadows = numbered(shadow.astype(np.uint8))[1]
    cut_off = tuple(runs_out(box, labels.shape) for box in boxes)
    over_rim: tuple[bool, ...] = ()
    if within is not None:
        middle = masks.filled(within, levels.shape)
        near, over = (np.bincount(labels[_rim(middle, px)], minlength=len(boxes) + 1)[1:] for px in (3, 1))
        cut_off = tuple(out or bool(px >= _TOUCHES_PX) for out, px in zip(cut_off, near, strict=True))
        over_rim = tuple((over >= _CROSSES_PX).tolist())
    return Regions(
        labels=labels,
        levels=copy,
        ground=ground,
        shrink=shrink,
        boxes=boxes,
        cut_off=cut_off,
        over_rim=over_rim,
        shadows=shadows,
    )


def _unlike(levels: Singles, ground: Singles, usable: Bytes) -> tuple[Bytes, Bytes]:
    """What is clearly no ground, and all that differs from it by more than noise, ``(h, w)`` both."""
    off = colour_difference(levels, ground)
    quiet = off[(usable > 0) & (off < LEAST_DIFFERENCE)]
    limit = max(LEAST_DIFFERENCE, _ABOVE_NOISE * float(np.median(quiet)) if quiet.size else 0.0)
    differs = ((off > limit) & (usable > 0)).astype(np.uint8)
    return _without_lines(masks.without_grain(differs, clear=(off > CLEAR * limit) & (usable > 0))), differs


def _without_lines(mask: Bytes) -> Bytes:
    """The mask without lines in all that runs out of the picture: a mat's grid and, where something still runs out, joints between tiles."""
    running = _running_out(mask)
    mask = np.where(running > 0, masks.opened(running, _WIDEST_LINE_PX), mask).astype(np.uint8)
    running = _running_out(mask)
    wide, wider = (masks.opened(running, px) for px in _JOINT_PX)
    kept = masks.parts_holding(wide, wider > 0)
    return np.where(running > 0, kept, mask).astype(np.uint8)


def _running_out(mask: Bytes) -> Bytes:
    """The parts of a mask that reach the picture's border: joined by lines, or cut off by it."""
    import cv2

    _, labels, stats, _ = cv2.connectedComponentsWithStats(mask, connectivity=4)
    out = np.array([runs_out(tuple(box), mask.shape) for box in stats[:, :4].tolist()])
    out[0] = False  # the ground
    return out[labels].astype(np.uint8)


def _rim(mask: Bytes, px: int) -> Bools:
    """A band ``px`` wide along the inside of a mask's rim, ``(h, w)``."""
    return np.asarray((mask > 0) & (masks.shrunk_by(mask, px) == 0))


def runs_out(box: Box, shape: tuple[int, ...]) -> bool:
    """Whether a box reaches a border of the small copy."""
    return bool(_borders(box, shape))


def _borders(box: Box, shape: tuple[int, ...]) -> tuple[Border, ...]:
    """The borders of the small copy that a box reaches."""
    x, y, wide, high = box
    reached = {
        Border.LEFT: x <= 1,
        Border.RIGHT: x + wide >= shape[1] - 1,
        Border.UPPER: y <= 1,
        Border.LOWER: y + high >= shape[0] - 1,
    }
    return tuple(border for border, out in reached.items() if out)


def numbered(mask: Bytes) -> tuple[NDArray[np.int32], tuple[Box, ...]]:
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
    """The mask with the holes of all pieces filled that lie whole in the picture: what lies there belongs to the piece."""
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
