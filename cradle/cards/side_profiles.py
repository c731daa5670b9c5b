"""The part of a picture round what may be a card, and its levels square to a line in it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from cradle.geometry.arrays import Floats
from cradle.pictures.light import between_levels_and_light, in_light

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from cradle.pictures.image import Picture

STEP_PX: Final = 0.5
"""Distance between the places of a profile."""
_BLUR_PX: Final = 0.8
_COLOUR_BLUR_PX: Final = 2.2
"""Blur where only such colours step: they are kept for pairs of pixels, between which the slope jumps."""


class PartSeen:
    """The part of a picture round a card: between levels and light, to find steps, and what to place them by.

    Blur of the lens mixes light. Colours kept for pairs of pixels were mixed as levels, and half way between two levels
    is not half way between their light.
    """

    def __init__(self, picture: Picture, quad_px: Floats, *, margin_px: float) -> None:
        import cv2

        size = np.array(picture.size_px)
        low = np.clip(np.floor(quad_px.min(axis=0) - margin_px), 0, size - 1).astype(np.int64)
        high = np.clip(np.ceil(quad_px.max(axis=0) + margin_px), 1, size).astype(np.int64)
        self.corner = low.astype(np.float64)
        self._part = picture.levels[low[1] : high[1], low[0] : high[0]]
        self.levels: NDArray[Any] = cv2.GaussianBlur(between_levels_and_light(self._part), (0, 0), _BLUR_PX)
        self.coarse_colours = picture.colour_px > 1

    @cached_property
    def light(self) -> NDArray[Any]:
        """The light, 0 to 255."""
        import cv2

        return np.asarray(cv2.GaussianBlur(255 * in_light(self._part), (0, 0), _BLUR_PX))

    @cached_property
    def colours(self) -> NDArray[Any]:
        """The levels, where the file keeps only every second pixel's colour."""
        import cv2

        return np.asarray(cv2.GaussianBlur(self._part.astype(np.float32), (0, 0), _COLOUR_BLUR_PX))

    def profiles(self, image: NDArray[Any], line: Line, offsets: Floats) -> Floats:
        """Levels square to a line, averaged with their neighbours, ``(n, k, c)``.

        Sampled so that their slope is smooth too: between two pixels a straight line's would be even, and a side along
        the pixels would be drawn to one of them.
        """
        import cv2

        at = (line.places[:, None] - self.corner + offsets[:, None] * line.normal).astype(np.float32)
        found = cv2.remap(image, at[..., 0], at[..., 1], cv2.INTER_LANCZOS4, borderMode=cv2.BORDER_REPLICATE)
        found = cv2.blur(found.astype(np.float32), (1, 5))
        return np.asarray(found.reshape(len(line.places), len(offsets), -1), dtype=np.float64)


@dataclass(frozen=True, slots=True, eq=False)
class Line:
    """Places ``(n, 2)`` px along a side, how far along it each lies, and the normal outwards: ``(2,)``, or ``(n, 1, 2)``."""

    places: Floats
    along: Floats
    normal: Floats

    def moved(self, place: float, slope: float) -> Line:
        """The line moved outwards by ``place`` where ``along`` is 0, and by ``slope`` more where it is 1."""
        return replace(self, places=self.places + (place + slope * self.along)[:, None] * self.normal)


def offsets_px(reach_px: float) -> Floats:
    """Places to either side of a line, outwards, px."""
    steps = round(reach_px / STEP_PX)
    return np.arange(-steps, steps + 1, dtype=np.float64) * STEP_PX
