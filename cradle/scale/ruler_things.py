"""Things in a picture that may be rules by their shape, each seen alone: a mat's grid hides no marks there."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.geometry.arrays import Bytes, Floats, Ints
from cradle.noun import noun
from cradle.pictures.masks import without_bumps
from cradle.scale.ruler_find import MarkLine, regular_lines

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cradle.pictures.regions import Regions

_CONVEX: Final = 0.9
_FULL: Final = 0.85
"""Part of its hull, and its hull's part of the least box round it, that a rule fills where the view leans by 25 degrees."""
_LONG: Final = 1.8
"""Least length by width of a thing that may be a rule."""


@noun
class ThingShape:
    """A thing's shape in the small copy, px: its hull ``(n, 2)``, the least box round that, what part of either is filled."""

    hull: Floats
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
    import cv2

    x, y, wide, high = things.boxes[number - 1]
    own = without_bumps((things.labels[y : y + high, x : x + wide] == number).astype(np.uint8))
    rings, _ = cv2.findContours(own, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE, offset=(x, y))
    hull = cv2.convexHull(np.concatenate(rings))[:, 0].astype(np.float32)
    _, (a, b), turn = cv2.minAreaRect(hull)
    turn = np.radians(turn if a >= b else turn + 90.0)
    area = max(float(cv2.contourArea(hull)), 1.0)
    return ThingShape(
        hull=np.asarray(hull, dtype=np.float64),
        long=max(a, b),
        deep=min(a, b),
        ahead=np.array([np.cos(turn), np.sin(turn)]),
        convex=float(own.sum()) / area,
        full=area / max(a * b, 1.0),
    )


def rule_like(things: Regions) -> tuple[int, ...]:
    """Numbers of the things that may be rules by their shape, the longest first."""
    shapes = {number: shape_of(things, number) for number in range(1, len(things.boxes) + 1)}
    found = [
        number for number, shape in shapes.items() if shape.long >= _LONG * shape.deep and shape.fills_its_box
    ]
    return tuple(sorted(found, key=lambda number: -shapes[number].long))


def seen_alone(grey: Bytes, things: Regions, number: int) -> tuple[Bytes, tuple[int, int]]:
    """The picture of a thing with its own usual level all round it, and where that lies in the whole picture, px.

    Parameters
    ----------
    grey : (h, w) uint8
    things : Regions
    number : int
        From 1.
    """
    import cv2

    x, y, wide, high = things.boxes[number - 1]
    shrink = things.shrink
    x0, y0 = int(x * shrink), int(y * shrink)
    part = grey[y0 : int((y + high) * shrink), x0 : int((x + wide) * shrink)]
    own = (things.labels[y : y + high, x : x + wide] == number).astype(np.uint8)
    own = cv2.erode(own, np.ones((3, 3), np.uint8), borderValue=0)
    there = cv2.resize(own, part.shape[::-1], interpolation=cv2.INTER_NEAREST) > 0
    usual = np.median(part[there]) if there.any() else 255.0
    return np.where(there, part, np.uint8(usual)), (x0, y0)


def lines_across(grey: Bytes) -> list[MarkLine]:
    """Lines of regular marks in the picture of a thing alone, each as long as the picture."""
    h, w = grey.shape
    corners = np.array([[0, 0], [w, 0], [w, h], [0, h]], dtype=np.float64)
    lines = []
    for line in regular_lines(grey):
        along = (corners - line.centre_px) @ np.array(line.ahead)
        lines.append(replace(line, reach_px=(float(along.min()), float(along.max()))))
    return lines


def lies_on(line: MarkLine, things: Regions | None, numbers: Sequence[int]) -> bool:
    """Whether a candidate's middle lies on one of the numbered things."""
    if things is None:
        return False
    return int(numbers_at(np.asarray(line.centre_px)[None], things)[0]) in numbers


def numbers_at(places_px: Floats, things: Regions) -> Ints:
    """Number of the thing at each of ``(n, 2)`` places in the whole picture, ``(n,)``; 0 where there is none."""
    x, y = np.rint((places_px + 0.5) / things.shrink - 0.5).astype(np.int64).T
    h, w = things.labels.shape
    return np.asarray(things.labels[y.clip(0, h - 1), x.clip(0, w - 1)], dtype=np.int64)
