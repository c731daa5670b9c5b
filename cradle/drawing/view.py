"""What a drawing shows: lines, dimensions, heights and cutting planes of a view, at true size, without a place for any word.

Third-angle projection: the plan (from above) stands over the cut seen from the
front, and the cut seen from the right stands to its right.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum
from typing import Final

import numpy as np

from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.ring import Box, extents, thinned
from cradle.noun import noun, record

_DRAWN_MM: Final = 0.002
"""A point nearer than this to the line through its neighbours is not drawn: no pen is so fine."""


class Stroke(StrEnum):
    """What a line of a drawing stands for."""

    CUT = "cut"
    """The edge of what is cut through."""
    EDGE = "edge"
    """An edge in view."""
    WIDEST = "widest"
    """The largest extent of the pocket, before or behind the cut."""
    PLANE = "cutting plane"
    """Where a cut runs: a chain line."""
    PLANE_END = "cutting plane ends"
    """Its thick ends."""


class Axis(StrEnum):
    """Which way a dimension is measured on the sheet."""

    ACROSS = "across"
    UP = "up"


class Placement(StrEnum):
    """Where a dimension's line runs."""

    INSIDE = "inside"
    """Between its own two points."""
    LEFT = "left"
    BELOW = "below"
    ABOVE = "above"


@noun
class Line:
    """A polyline ``points_mm (n, 2)``; a closed one joins its last point to its first."""

    points_mm: Floats
    stroke: Stroke
    closed: bool


def ring_line(points: Floats, stroke: Stroke) -> Line:
    """A ring as a closed line, without points that no pen shows."""
    return Line(points_mm=frozen(thinned(points, within_mm=_DRAWN_MM)), stroke=stroke, closed=True)


def open_line(points: Floats | Sequence[tuple[float, float]], stroke: Stroke) -> Line:
    """A line from the first point to the last."""
    return Line(points_mm=frozen(points), stroke=stroke, closed=False)


def spread_evenly(count: int, *, most: int) -> list[int]:
    """Which of ``count`` things are drawn: all, or ``most`` of them, spread evenly, with the first and the last.

    Examples
    --------
    >>> spread_evenly(3, most=4), spread_evenly(10, most=4)
    ([0, 1, 2], [0, 3, 6, 9])
    """
    return list(range(count)) if count <= most else [round(k * (count - 1) / (most - 1)) for k in range(most)]


@record
class Dimension:
    """A length between two points of a view, mm; lines beside the view stand in tiers, 1 next to it."""

    name: str
    axis: Axis
    start_mm: tuple[float, float]
    end_mm: tuple[float, float]
    placement: Placement = Placement.INSIDE
    tier: int = 1

    @property
    def length_mm(self) -> float:
        """The length measured."""
        k = 0 if self.axis is Axis.ACROSS else 1
        return self.end_mm[k] - self.start_mm[k]


def across(
    name: str,
    low: float,
    high: float,
    *,
    at_mm: float,
    placement: Placement = Placement.INSIDE,
    tier: int = 1,
) -> Dimension:
    """How far it is from left to right, at one place up the view."""
    start, end = (low, at_mm), (high, at_mm)
    return Dimension(name=name, axis=Axis.ACROSS, start_mm=start, end_mm=end, placement=placement, tier=tier)


def upright(name: str, low: float, high: float, *, at_mm: float, tier: int = 1) -> Dimension:
    """How far it is up the view, at one place across it, written to its left."""
    start, end = (at_mm, low), (at_mm, high)
    return Dimension(name=name, axis=Axis.UP, start_mm=start, end_mm=end, placement=Placement.LEFT, tier=tier)


@record
class Height:
    """A height above the base, mm, running from one origin with all others of its view."""

    at_mm: tuple[float, float]
    """Where on the view it is read off; its second number is the height."""
    of: str
    """What lies there, to stand beside the figures where it is not plain."""

    @property
    def text(self) -> str:
        """As it is written."""
        return f"{self.at_mm[1]:.2f} {self.of}".rstrip()


class SeenFrom(StrEnum):
    """The side of the holder that a cut is seen from."""

    FRONT = "front"
    RIGHT = "right"

    @property
    def view_from_print(self) -> Floats:
        """From the print frame to the view's: across, up, and towards the viewer, ``(4, 4)``."""
        return _FROM_THE_FRONT if self is SeenFrom.FRONT else _FROM_THE_RIGHT


_FROM_THE_FRONT: Final = frozen([[1, 0, 0, 0], [0, 0, 1, 0], [0, -1, 0, 0], [0, 0, 0, 1]])
_FROM_THE_RIGHT: Final = frozen([[0, 1, 0, 0], [0, 0, 1, 0], [1, 0, 0, 0], [0, 0, 0, 1]])


@record
class Cut:
    """Which cut a view shows: its letter, the side it is seen from, and its plane's place towards the viewer, mm, in the view's frame."""

    letter: str
    seen_from: SeenFrom
    at_mm: float

    @property
    def title(self) -> str:
        """As it is written over the view."""
        return f"cut {self.letter}–{self.letter}, from the {self.seen_from}"


@record
class CuttingPlane:
    """Where a cut runs through a view: its letter, the place across it, and the way it is looked along."""

    letter: str
    axis: Axis
    """Which way its line runs on the sheet."""
    at_mm: float
    looking: float
    """Along the other axis: 1 up or to the right, -1 down or to the left."""


@record
class Callout:
    """Words with a line that leads to a point of the view, mm."""

    text: str
    at_mm: tuple[float, float]
    radius_mm: float
    """The line ends this far from the point: at the edge of a hole."""


@noun
class View:
    """One view at true size, mm; the cut material as rings, holes clockwise; without a ``cut`` it is the plan."""

    lines: tuple[Line, ...]
    cut: Cut | None = None
    material: tuple[Floats, ...] = ()
    dimensions: tuple[Dimension, ...] = ()
    heights: tuple[Height, ...] = ()
    planes: tuple[CuttingPlane, ...] = ()
    callouts: tuple[Callout, ...]

    @property
    def title(self) -> str:
        """As it is written over the view."""
        return "plan, from above" if self.cut is None else self.cut.title

    def box_mm(self) -> Box:
        """The box around what is drawn, without dimensions and words."""
        return extents(np.concatenate([line.points_mm for line in self.lines]))
