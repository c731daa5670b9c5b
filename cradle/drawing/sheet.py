"""A drawing: lines, dimensions and words of a view, and several views on one sheet.

Third-angle projection: the plan (from above) stands over the cut seen from the
front, and the cut seen from the right stands to its right.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final

import numpy as np

from cradle.geometry.arrays import Floats, frozen

_GAP_MM: Final = 14.0


class Stroke(StrEnum):
    """What a line of a drawing stands for."""

    CUT = "cut"
    """The edge of what is cut through."""
    EDGE = "edge"
    """An edge in view."""
    WIDEST = "widest"
    """The largest extent of the pocket, before or behind the cut."""
    CENTRE = "centre"
    """Where a cut runs."""


class Axis(StrEnum):
    """Which way a dimension is measured on the sheet."""

    ACROSS = "across"
    UP = "up"


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Line:
    """A polyline ``points_mm (n, 2)``; a closed one joins its last point to its first."""

    points_mm: Floats
    stroke: Stroke
    closed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Dimension:
    """A length between two points of a view, mm; ``at_mm`` is where its line runs, across the measured axis."""

    name: str
    axis: Axis
    start_mm: tuple[float, float]
    end_mm: tuple[float, float]
    at_mm: float

    @property
    def length_mm(self) -> float:
        """The length measured."""
        k = 0 if self.axis is Axis.ACROSS else 1
        return self.end_mm[k] - self.start_mm[k]


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """Words on the sheet with the lower left corner at a place, mm."""

    text: str
    at_mm: tuple[float, float]
    height_mm: float


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class View:
    """One view: lines, dimensions, words; and the cut material as rings, holes clockwise."""

    title: str
    lines: tuple[Line, ...]
    material: tuple[Floats, ...] = ()
    dimensions: tuple[Dimension, ...] = ()
    notes: tuple[Note, ...] = ()

    def extent_mm(self) -> tuple[float, float, float, float]:
        """Least x, least y, greatest x, greatest y of lines, dimensions and words, about."""
        points = [line.points_mm for line in self.lines]
        for d in self.dimensions:
            a, b = (d.start_mm, d.end_mm)
            across = d.axis is Axis.ACROSS
            points.append(
                frozen([(a[0], d.at_mm), (b[0], d.at_mm)] if across else [(d.at_mm, a[1]), (d.at_mm, b[1])])
            )
        for note in self.notes:
            x, y = note.at_mm
            points.append(frozen([(x, y), (x + 0.6 * note.height_mm * len(note.text), y + note.height_mm)]))
        every = np.concatenate(points)
        (x0, y0), (x1, y1) = every.min(axis=0), every.max(axis=0)
        return float(x0), float(y0), float(x1), float(y1)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Sheet:
    """The plan, then cuts from the front and from the right in pairs, all at true size."""

    views: tuple[View, ...]
    size_mm: tuple[float, float]


def lay_out(views: Sequence[View]) -> Sheet:
    """The views on one sheet, lower left corner at the origin, in line with each other.

    Parameters
    ----------
    views : sequence of View
        The plan, and pairs of a cut from the front and one from the right; a
        second pair lies below the first.
    """
    plan, *cuts = views
    fronts, rights = cuts[::2], cuts[1::2]
    left = min(view.extent_mm()[0] for view in (plan, *fronts))
    middle = max(view.extent_mm()[2] for view in (plan, *fronts)) - left + _GAP_MM
    placed: list[View] = []
    wide, low = middle - _GAP_MM, 0.0
    for front, right in zip(reversed(fronts), reversed(rights), strict=True):
        _, fy0, _, fy1 = front.extent_mm()
        rx0, ry0, rx1, ry1 = right.extent_mm()
        up = low - min(fy0, ry0)
        placed = [moved(front, (-left, up)), moved(right, (middle - rx0, up)), *placed]
        wide, low = max(wide, middle - rx0 + rx1), up + max(fy1, ry1) + _GAP_MM
    _, y0, _, y1 = plan.extent_mm()
    return Sheet(views=(moved(plan, (-left, low - y0)), *placed), size_mm=(wide, low - y0 + y1))


def moved(view: View, by_mm: tuple[float, float]) -> View:
    """The view shifted on the sheet."""
    dx, dy = by_mm
    return replace(
        view,
        lines=tuple(replace(line, points_mm=frozen(line.points_mm + np.array(by_mm))) for line in view.lines),
        material=tuple(frozen(ring + np.array(by_mm)) for ring in view.material),
        dimensions=tuple(
            replace(
                d,
                start_mm=(d.start_mm[0] + dx, d.start_mm[1] + dy),
                end_mm=(d.end_mm[0] + dx, d.end_mm[1] + dy),
                at_mm=d.at_mm + (dy if d.axis is Axis.ACROSS else dx),
            )
            for d in view.dimensions
        ),
        notes=tuple(replace(n, at_mm=(n.at_mm[0] + dx, n.at_mm[1] + dy)) for n in view.notes),
    )
