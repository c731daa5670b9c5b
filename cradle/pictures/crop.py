"""The part of a picture round one piece, no finer than a piece's edge is."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.noun import noun
from cradle.pictures.averaged import averaged, from_copy, in_copy

if TYPE_CHECKING:
    from cradle.geometry.arrays import Bools, Bytes, Floats, Singles
    from cradle.pictures.image import Picture
    from cradle.pictures.regions import Regions

_AROUND_PX: Final = 48
"""Least margin round a piece, px of the picture: lines of the ground must be long enough there to tell where they run."""
_FINEST_MM: Final = 0.05
"""Finer pixels are averaged to about this, but never to more than half a small px: paper's own edge is no sharper, and memory is
a quarter."""


@noun
class Crop:
    """The part of a picture round a piece: its levels, and the small copy's mask, levels and ground there.

    A pixel of ``levels`` is ``times`` by ``times`` of the picture's, and ``grain_mm`` long; one of the small copy
    is ``shrink`` of them.
    """

    levels: Bytes
    mask: Bytes
    small: Singles
    ground: Singles
    many_grounds: bool
    corner_px: tuple[int, int]
    times: int
    shrink: float
    grain_mm: float
    own_from_small: Floats

    def in_picture(self, points: Floats) -> Floats:
        """Points of the crop in the whole picture's px."""
        return from_copy(points, times=self.times) + self.corner_px

    def from_picture(self, points: Floats) -> Floats:
        """Points of the whole picture in the crop's px."""
        return in_copy(points - self.corner_px, times=self.times)

    def enlarged(self, array: Singles) -> Singles:
        """An array of the small copy, ``(h, w)`` or ``(h, w, c)``, at every pixel of the crop."""
        import cv2

        h, w = self.levels.shape[:2]
        flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
        large = np.asarray(
            cv2.warpAffine(array, self.own_from_small, (w, h), flags=flags, borderMode=cv2.BORDER_REPLICATE),
            dtype=np.float32,
        )
        return large.reshape(h, w, *array.shape[2:])  # of one channel OpenCV leaves none

    def shows(self, part: Bytes | Bools) -> Bools:
        """Pixels of the crop that a part of the small copy covers."""
        return np.asarray(self.enlarged(part.astype(np.float32)) > 0.5)


def crop_of(picture: Picture, regions: Regions, number: int, *, grain_mm: float, least_pad: int) -> Crop:
    """The part of a picture round a piece.

    Parameters
    ----------
    number : int
        From 1.
    grain_mm : float
        Length of a pixel of the picture, mm.
    least_pad : int
        Small pixels to look at round the piece at least.
    """
    import cv2

    shrink = regions.shrink
    times = max(1, min(math.ceil(_FINEST_MM / grain_mm), int(shrink / 2)))
    x, y, w, h = regions.boxes[number - 1]
    sh, sw = regions.labels.shape
    pad = max(least_pad, round(_AROUND_PX / shrink))
    x0, y0, x1, y1 = max(0, x - pad), max(0, y - pad), min(sw, x + w + pad), min(sh, y + h + pad)
    width, height = picture.size_px
    fx0, fy0 = int(np.floor(x0 * shrink)), int(np.floor(y0 * shrink))
    fx1, fy1 = min(width, int(np.ceil(x1 * shrink))), min(height, int(np.ceil(y1 * shrink)))
    levels = picture.levels[fy0:fy1, fx0:fx1]
    small = cv2.resize(levels, (x1 - x0, y1 - y0), interpolation=cv2.INTER_AREA).astype(np.float32)
    to = shrink / times
    return Crop(
        levels=averaged(levels, times=times),
        mask=_filled((regions.labels[y0:y1, x0:x1] == number).astype(np.uint8)),
        small=small.reshape(y1 - y0, x1 - x0, -1),
        ground=regions.ground[y0:y1, x0:x1],
        many_grounds=regions.many_grounds,
        corner_px=(fx0, fy0),
        times=times,
        shrink=to,
        grain_mm=grain_mm * times,
        own_from_small=np.array(
            [
                [1 / to, 0, (fx0 / times + 0.5) / to - 0.5 - x0],
                [0, 1 / to, (fy0 / times + 0.5) / to - 0.5 - y0],
            ]
        ),
    )


def _filled(mask: Bytes) -> Bytes:
    """The mask with its holes filled: what lies on a piece belongs to it."""
    import cv2

    rings, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    out = np.zeros_like(mask)
    cv2.drawContours(out, rings, -1, 1, cv2.FILLED)
    return out
