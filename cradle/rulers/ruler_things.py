"""Things in a picture that may be rules by their shape, each seen alone: a mat's grid hides no marks there."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.geometry.arrays import Bytes, Floats
from cradle.geometry.shapes import rectangle
from cradle.pictures.masks import filled, shrunk_by
from cradle.pictures.thing_shape import shape_of
from cradle.rulers.ruler_find import MarkLine, regular_lines

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cradle.pictures.regions import Regions

_LONG: Final = 1.8
"""Least length by width of a thing that may be a rule."""


def rule_like(things: Regions) -> tuple[int, ...]:
    """Numbers of the things that may be rules by their shape, the longest first."""
    shapes = {number: shape_of(things, number) for number in range(1, len(things.boxes) + 1)}
    found = [
        number for number, shape in shapes.items() if shape.long >= _LONG * shape.deep and shape.fills_its_box
    ]
    return tuple(sorted(found, key=lambda number: -shapes[number].long))


def seen_alone(grey: Bytes, things: Regions, number: int) -> tuple[Bytes, tuple[int, int]]:
    """The picture of a thing with its own usual level all round it, and where that lies in the whole picture, px.

    A rule has no hollows: where its marks are blurred to the colour of what it lies on, they belong to it all the same.

    Parameters
    ----------
    grey : (h, w) uint8
    number : int
        From 1.
    """
    import cv2

    x, y, wide, high = things.boxes[number - 1]
    shrink = things.shrink
    x0, y0 = int(x * shrink), int(y * shrink)
    part = grey[y0 : int((y + high) * shrink), x0 : int((x + wide) * shrink)]
    own = filled(shape_of(things, number).hull - (x, y), (high, wide))
    there = cv2.resize(shrunk_by(own, 1), part.shape[::-1], interpolation=cv2.INTER_NEAREST) > 0
    usual = np.median(part[there]) if there.any() else 255.0
    return np.where(there, part, np.uint8(usual)), (x0, y0)


def middle_of(things: Regions, number: int) -> Floats:
    """The middle of a thing, px of the picture, ``(2,)``."""
    hull = shape_of(things, number).hull
    return things.in_picture((hull.min(axis=0) + hull.max(axis=0)).astype(np.float64) / 2)


def lines_across(grey: Bytes) -> list[MarkLine]:
    """Lines of regular marks in the picture of a thing alone, each as long as the picture."""
    h, w = grey.shape
    corners = rectangle((0, 0), (w, h))
    lines = []
    for line in regular_lines(grey):
        along = (corners - line.centre_px) @ np.array(line.ahead)
        lines.append(replace(line, reach_px=(float(along.min()), float(along.max()))))
    return lines


def lies_on(line: MarkLine, things: Regions, numbers: Sequence[int]) -> bool:
    """Whether a candidate's middle lies on one of the numbered things."""
    return int(things.numbers_at(np.asarray(line.centre_px)[None])[0]) in numbers
