"""Which of the things that lie on the ground are pieces to trace.

None that the picture's edge cuts off, or that lies over the rim of the sheet, where something whole is left.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from cradle.noun import noun
from cradle.pictures import masks
from cradle.pictures.ground import colour_difference
from cradle.pictures.regions import RIM_PX, Box, Regions, numbered, runs_out

if TYPE_CHECKING:
    from cradle.geometry.arrays import Bools, Bytes, Floats, Singles

_AS_LARGE: Final = 0.1
"""What is cut off is probably another piece like a whole one if its area is at least this part of that one's ..."""
_ALIKE: Final = 0.25
"""... and its colour differs from that one's by less than this part of its difference from the ground: makers cut all templates
from one card."""


def pieces_of(things: Regions, *, without: Sequence[Floats] = ()) -> Regions:
    """The pieces to trace: what lies within the polygons is left out, and what is cut off too, unless nothing is whole.

    Parameters
    ----------
    things : Regions
        All that lies on the ground.
    without : sequence of (n, 2)
        Polygons in px: rules, cards.
    """
    polygons = [things.in_small(polygon) for polygon in without]
    mask = masks.without((things.labels > 0).astype(np.uint8), polygons, rim_px=RIM_PX)
    labels, boxes = numbered(mask)
    over = np.array([False, *(things.over_rim or (False,) * len(things.boxes))])[things.labels]
    out = [runs_out(box, mask.shape) or bool(over[labels == k + 1].any()) for k, box in enumerate(boxes)]
    kept = [k for k in range(len(boxes)) if not out[k] or all(out)]  # a lid, a table lie beside the mat
    number = np.zeros(len(boxes) + 1, dtype=np.int32)
    number[[k + 1 for k in kept]] = np.arange(1, len(kept) + 1)
    cut = np.concatenate([[False], things.cut_off])[things.labels]
    return replace(
        things,
        labels=number[labels],
        boxes=tuple(boxes[k] for k in kept),
        cut_off=tuple(bool(cut[labels == k + 1].any()) for k in kept),
        cut_alike=tuple(
            boxes[k]
            for k in _alike(things, labels, boxes, kept, [k for k in range(len(boxes)) if k not in kept])
        ),
    )


@noun
class _Look:
    """A thing inside its rim: its area, small px, its median levels and its ground's, each as a picture of one pixel."""

    area: int
    level: Singles
    ground: Singles

    def is_like(self, whole: _Look) -> bool:
        """Whether it is large enough beside a whole piece, and much nearer to that in colour than to the ground."""
        return self.area >= _AS_LARGE * whole.area and bool(
            colour_difference(self.level, whole.level)[0, 0]
            < _ALIKE * colour_difference(self.level, self.ground)[0, 0]
        )


def _alike(
    things: Regions,
    labels: NDArray[np.int32],
    boxes: Sequence[Box],
    kept: Sequence[int],
    out: Sequence[int],
) -> list[int]:
    """Which of those left out, counted from 0, look like one that is kept."""
    looks = {k: _look(things, labels, k, boxes[k]) for k in (*out, *kept)} if out else {}
    whole = [like for k in kept if (like := looks.get(k)) is not None]
    return [k for k in out if (own := looks[k]) is not None and any(map(own.is_like, whole))]


def _look(things: Regions, labels: NDArray[np.int32], k: int, box: Box) -> _Look | None:
    """What a thing looks like inside its rim; None where nothing lies inside that."""
    import cv2

    x, y, wide, high = box
    around = (slice(max(0, y - 1), y + high + 1), slice(max(0, x - 1), x + wide + 1))
    inside = cv2.erode((labels[around] > 0).astype(np.uint8), np.ones((3, 3), np.uint8)) > 0
    own = inside & (labels[around] == k + 1)
    if not own.any():
        return None
    level, ground = (_usual(levels[around], own) for levels in (things.levels, things.ground))
    return _Look(area=int(own.sum()), level=level, ground=ground)


def _usual(levels: Bytes | Singles, where: Bools) -> Singles:
    """The median level of each channel in a part of a picture, as a picture of one pixel."""
    seen = np.atleast_3d(levels)[where].astype(np.float32)
    return np.asarray(np.median(seen, axis=0), dtype=np.float32).reshape(1, 1, -1)
