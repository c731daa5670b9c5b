"""Labels on paper, and the places where they cover neither a line nor another label."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final, TypeAlias

import numpy as np

from cradle.geometry.arrays import Bools, Floats

Point: TypeAlias = tuple[float, float]
Box: TypeAlias = tuple[float, float, float, float]
"""Least x, least y, greatest x, greatest y."""

_WIDE: Final = 0.9
"""Width of a letter in heights of a capital, with room to spare: sans-serif faces have 0.75 to 0.88 on average."""
_BELOW: Final = 0.28
"""How far letters reach below their line, in heights of a capital."""
CLEAR_MM: Final = 0.3
"""Room around a label."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """Words on paper, mm.

    Attributes
    ----------
    text : str
    at : (float, float)
        On the base line: the middle, the start or the end of the words.
    height_mm : float
        Of capitals.
    anchor : float
        Which part of the words is at the place: 0 the start, 0.5 the middle, 1 the end.
    upright : bool
        Read from the right: turned by a quarter.
    """

    text: str
    at: Point
    height_mm: float
    anchor: float = 0.5
    upright: bool = False

    @property
    def width_mm(self) -> float:
        """How long the words are at most."""
        return _WIDE * self.height_mm * len(self.text)

    def box(self) -> Box:
        """What the words cover at most."""
        x, y = self.at
        low = 0.0 if self.text.replace(".", "").isdigit() else _BELOW * self.height_mm
        before, after = self.anchor * self.width_mm, (1 - self.anchor) * self.width_mm
        if self.upright:
            return x - self.height_mm, y - before, x + low, y + after
        return x - before, y - low, x + after, y + self.height_mm

    def moved(self, by: Point) -> Label:
        """The same words elsewhere."""
        return replace(self, at=(self.at[0] + by[0], self.at[1] + by[1]))


def crossed(segments: Floats, box: Box) -> bool:
    """Whether any of the segments ``(n, 4)`` (x, y, x, y) touches a box.

    Separating axes (convex sets that do not meet can be separated by a line
    square to one of their sides): the box's two, and the segment's normal.
    """
    x0, y0, x1, y1 = box
    ax, ay, bx, by = segments.T
    near = (np.minimum(ax, bx) <= x1) & (np.maximum(ax, bx) >= x0)
    near &= (np.minimum(ay, by) <= y1) & (np.maximum(ay, by) >= y0)
    if not near.any():
        return False
    ax, ay, bx, by = segments[near].T
    sides = [(bx - ax) * (y - ay) - (by - ay) * (x - ax) for x in (x0, x1) for y in (y0, y1)]
    return bool(((np.min(sides, axis=0) <= 0) & (np.max(sides, axis=0) >= 0)).any())


def _meet(one: Floats, other: Floats) -> Bools:
    """Whether segments (x, y, x, y), broadcast, properly cross."""

    def sides(of: Floats, points: Floats) -> Floats:
        ax, ay, bx, by = (of[..., k] for k in range(4))
        first, second = (
            (bx - ax) * (points[..., k + 1] - ay) - (by - ay) * (points[..., k] - ax) for k in (0, 2)
        )
        return first * second

    return (sides(one, other) < 0) & (sides(other, one) < 0)


def overlaps(a: Box, b: Box) -> bool:
    """Whether two boxes have a part in common."""
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _segments(polylines: Iterable[Sequence[Point]] | Iterable[Floats]) -> Floats:
    """The straight parts of polylines, ``(n, 4)``: x, y, x, y of the two ends of each."""
    lines = [np.asarray(line, dtype=np.float64) for line in polylines]
    return np.concatenate([np.empty((0, 4)), *(np.column_stack([line[:-1], line[1:]]) for line in lines)])


class Taken:
    """What is drawn already, where no label may go.

    Parameters
    ----------
    polylines : iterable of (n, 2) float64
        mm on paper.
    """

    def __init__(self, polylines: Iterable[Floats]) -> None:
        self._segments = _segments(polylines)
        self._boxes: list[Box] = []

    def add(self, polylines: Iterable[Sequence[Point]]) -> None:
        """Take the place of further lines."""
        self._segments = np.concatenate([self._segments, _segments(polylines)])

    def free(self, box: Box) -> bool:
        """Whether nothing drawn lies in or near a box."""
        x0, y0, x1, y1 = box
        wide = (x0 - CLEAR_MM, y0 - CLEAR_MM, x1 + CLEAR_MM, y1 + CLEAR_MM)
        return not any(overlaps(wide, other) for other in self._boxes) and not crossed(self._segments, wide)

    def clear_of_words(self, polylines: Iterable[Sequence[Point]]) -> bool:
        """Whether further lines would cross no label."""
        segments = _segments(polylines)
        return not any(crossed(segments, box) for box in self._boxes)

    def crossings(self, polylines: Iterable[Sequence[Point]]) -> int:
        """How many of the lines drawn further lines would cross.

        Two segments cross where the ends of each lie on different sides of the
        other's line.
        """
        own = _segments(polylines)[:, None, :]
        return int(_meet(own, self._segments[None, :, :]).sum())

    def first_free(self, candidates: Iterable[Label]) -> Label | None:
        """The first of some labels that covers nothing, its place now taken; None where none does."""
        for label in candidates:
            if self.free(label.box()):
                self._boxes.append(label.box())
                return label
        return None
