"""Labels on paper, and the places where they cover neither a line nor another label."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import groupby
from typing import Final, TypeAlias

import numpy as np

from cradle.geometry.arrays import Bools, Floats, Ints
from cradle.geometry.ring import Box
from cradle.noun import record

Point: TypeAlias = tuple[float, float]

_WIDE: Final = 0.9
"""Width of a letter in heights of a capital, with room to spare: sans-serif faces have 0.75 to 0.88 on average."""
_BELOW: Final = 0.28
"""How far letters reach below their line, in heights of a capital."""
_CLEAR_MM: Final = 0.3
"""Room around a label."""


@record
class Label:
    """Words on paper, mm.

    Attributes
    ----------
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

    @property
    def is_figure(self) -> bool:
        """Whether it is a number alone, of which nothing reaches below the line."""
        return self.text.replace(".", "").isdigit()

    def box(self) -> Box:
        """What the words cover at most."""
        x, y = self.at
        low = 0.0 if self.is_figure else _BELOW * self.height_mm
        before, after = self.anchor * self.width_mm, (1 - self.anchor) * self.width_mm
        if self.upright:
            return x - self.height_mm, y - before, x + low, y + after
        return x - before, y - low, x + after, y + self.height_mm

    def moved(self, by: Point) -> Label:
        """The same words elsewhere."""
        return replace(self, at=(self.at[0] + by[0], self.at[1] + by[1]))


def crossed(segments: Floats, boxes: Floats) -> Bools:
    """Whether segments (x, y, x, y) touch boxes (least x, least y, greatest x, greatest y), broadcast.

    Separating axes (convex sets that do not meet can be separated by a line
    square to one of their sides): the box's two, and the segment's normal.

    Examples
    --------
    >>> crossed(np.array([[0.0, 0.0, 4.0, 4.0], [0.0, 2.5, 1.5, 4.0]]), np.array([1.0, 1.0, 2.0, 2.0])).tolist()
    [True, False]
    """
    (ax, ay, bx, by), (x0, y0, x1, y1) = np.moveaxis(segments, -1, 0), np.moveaxis(boxes, -1, 0)
    near: Bools = (np.minimum(ax, bx) <= x1) & (np.maximum(ax, bx) >= x0)
    near &= (np.minimum(ay, by) <= y1) & (np.maximum(ay, by) >= y0)
    pairs = (np.broadcast_to(one, (*near.shape, 4))[near].T for one in (segments, boxes))
    (ax, ay, bx, by), (x0, y0, x1, y1) = pairs
    sides = [(bx - ax) * (y - ay) - (by - ay) * (x - ax) for x in (x0, x1) for y in (y0, y1)]
    near[near] = (np.min(sides, axis=0) <= 0) & (np.max(sides, axis=0) >= 0)
    return near


def _meet(one: Floats, other: Floats) -> Bools:
    """Whether segments (x, y, x, y), broadcast, properly cross."""

    def sides(of: Floats, points: Floats) -> Floats:
        ax, ay, bx, by = (of[..., k] for k in range(4))
        first, second = (
            (bx - ax) * (points[..., k + 1] - ay) - (by - ay) * (points[..., k] - ax) for k in (0, 2)
        )
        return first * second

    return (sides(one, other) < 0) & (sides(other, one) < 0)


def _segments(polylines: Iterable[Sequence[Point]] | Iterable[Floats]) -> Floats:
    """The straight parts of polylines, ``(n, 4)``: x, y, x, y of the two ends of each."""
    parts = [np.empty((0, 4))]
    for _, alike in groupby(polylines, key=len):
        points = np.array(list(alike), dtype=np.float64)
        parts.append(np.concatenate([points[:, :-1], points[:, 1:]], axis=2).reshape(-1, 4))
    return np.concatenate(parts)


class Taken:
    """What is drawn already, where no label may go.

    Parameters
    ----------
    polylines : iterable of (n, 2) float64
        mm on paper.
    """

    def __init__(self, polylines: Iterable[Floats]) -> None:
        self._segments = _segments(polylines)
        self._boxes = np.empty((0, 4))

    def add(self, polylines: Iterable[Sequence[Point]]) -> None:
        """Take the place of further lines."""
        self._segments = np.concatenate([self._segments, _segments(polylines)])

    def add_words(self, label: Label) -> None:
        """Take the place of a label."""
        self._boxes = np.concatenate([self._boxes, [label.box()]])

    def free(self, boxes: Floats) -> Bools:
        """Whether nothing drawn lies in or near each of some boxes, ``(n, 4)``; ``(n,)`` bool."""
        wide = (boxes + (-_CLEAR_MM, -_CLEAR_MM, _CLEAR_MM, _CLEAR_MM))[:, None]
        words = (wide[..., :2] < self._boxes[:, 2:]) & (self._boxes[:, :2] < wide[..., 2:])
        free = np.asarray(~np.any(np.all(words, axis=2), axis=1), dtype=bool)
        free[free] = ~crossed(self._segments, wide[free]).any(axis=1)
        return free

    def clear_of_words(self, segments: Floats) -> Bools:
        """Whether further lines, each of some segments (x, y, x, y), ``(n, s, 4)``, cross no label; ``(n,)`` bool."""
        return np.asarray(~crossed(segments[..., None, :], self._boxes).any(axis=(1, 2)), dtype=bool)

    def crossings(self, segments: Floats) -> Ints:
        """How many of the lines drawn further lines, each of some segments ``(n, s, 4)``, would cross; ``(n,)``.

        Two segments cross where the ends of each lie on different sides of the
        other's line.
        """
        return np.asarray(_meet(segments[..., None, :], self._segments).sum(axis=(1, 2)), dtype=np.int64)

    def first_free(self, candidates: Sequence[Label]) -> Label | None:
        """The first of some labels that covers nothing, its place now taken; None where none does."""
        found = np.flatnonzero(self.free(np.array([label.box() for label in candidates]).reshape(-1, 4)))
        if not len(found):
            return None
        self.add_words(candidates[found[0]])
        return candidates[found[0]]
