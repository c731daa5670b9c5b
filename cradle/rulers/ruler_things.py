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
    from collections.abc import Iterator, Sequence

    from cradle.pictures.regions import Box, Regions

_BITTEN: Final = 0.96
"""A thing that covers less than this part of its hull may have lost a row of marks to bites: a ruler's row is a sixth of it."""
_LONG: Final = 1.8
"""Least length by width of a thing that may be a rule."""


def rule_like(things: Regions) -> tuple[int, ...]:
    """Numbers of the things that may be rules by their shape, the longest first."""
    shapes = {number: shape_of(things, number) for number in range(1, len(things.boxes) + 1)}
    found = [
        number for number, shape in shapes.items() if shape.long >= _LONG * shape.deep and shape.fills_its_box
    ]
    return tuple(sorted(found, key=lambda number: -shapes[number].long))


def masks_of(things: Regions, number: int) -> Iterator[Bytes]:
    """The mask of a thing within its box, ``(h, w)``, and, where it has bites along its sides, a second one with these filled.

    Where a white rule's marks are blurred to the colour of newsprint, all of it that bears them is missing.
    """
    own = things.mask_of(number)
    yield own
    whole = filled(shape_of(things, number).hull - things.boxes[number - 1][:2], own.shape)
    if own.sum() < _BITTEN * whole.sum():
        yield whole


def seen_alone(grey: Bytes, mask: Bytes, box: Box, *, shrink: float) -> tuple[Bytes, tuple[int, int]]:
    """The picture of a thing with its own usual level all round it, and where that lies in the whole picture, px.

    Parameters
    ----------
    grey : (h, w) uint8
    mask : (h, w)
        What the thing covers of its box in the small copy.
    shrink : float
        Full pixels to a small one.
    """
    import cv2

    x, y, wide, high = box
    x0, y0 = int(x * shrink), int(y * shrink)
    part = grey[y0 : int((y + high) * shrink), x0 : int((x + wide) * shrink)]
    there = cv2.resize(shrunk_by(mask, 1), part.shape[::-1], interpolation=cv2.INTER_NEAREST) > 0
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
