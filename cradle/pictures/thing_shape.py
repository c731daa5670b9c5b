"""The shape of a thing in a picture, roughly: whether it may be a rule or a card."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.noun import noun
from cradle.pictures.masks import without_bumps

if TYPE_CHECKING:
    from cradle.geometry.arrays import Bytes, Floats, Singles
    from cradle.pictures.regions import Regions

_CONVEX: Final = 0.9
"""Least part of its convex hull that a rule covers."""
_FULL: Final = 0.85
"""Least part of the smallest box round it that a rule's hull covers, in a view that leans by 25 degrees."""


@noun
class ThingShape:
    """A thing's shape in the small copy, px.

    ``hull (n, 2)`` is its convex hull, and ``long`` and ``deep`` are the sides of the smallest box round that, ``ahead (2,)``
    the direction of the longer. The thing covers the part ``convex`` of its hull, the hull the part ``full`` of the box.
    """

    hull: Singles
    long: float
    deep: float
    ahead: Floats
    convex: float
    full: float

    @property
    def fills_its_box(self) -> bool:
        """Whether it is as full as a rule."""
        return self.convex >= _CONVEX and self.full >= _FULL


def shape_of(things: Regions, number: int) -> ThingShape:
    """The shape of a thing."""
    return mask_shape(things.mask_of(number), at=things.boxes[number - 1][:2])


def mask_shape(mask: Bytes, *, at: tuple[int, int] = (0, 0)) -> ThingShape:
    """The shape of what a mask ``(h, w)`` shows; ``at`` is the place of its first pixel in the small copy."""
    import cv2

    own = without_bumps(mask)
    rings, _ = cv2.findContours(own, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE, offset=at)
    hull = cv2.convexHull(np.concatenate(rings))[:, 0].astype(np.float32)
    _, (a, b), turn = cv2.minAreaRect(hull)
    turn = np.radians(turn if a >= b else turn + 90.0)
    area = max(float(cv2.contourArea(hull)), 1.0)
    return ThingShape(
        hull=np.asarray(hull),
        long=max(a, b),
        deep=min(a, b),
        ahead=np.array([np.cos(turn), np.sin(turn)]),
        convex=float(own.sum()) / area,
        full=area / max(a * b, 1.0),
    )
