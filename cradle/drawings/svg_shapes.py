"""The shapes of SVG as curves in mm: path, rect, circle, ellipse, line, polyline, polygon.

Section numbers are those of the W3C's Scalable Vector Graphics (SVG) 2.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any, Final, TypeAlias

import numpy as np

from cradle.drawings.bounds import Bounds
from cradle.drawings.curves import Ends
from cradle.drawings.flatten import arc_points, bezier_points, check_span
from cradle.drawings.svg_frame import FURTHEST, numbers, user_length
from cradle.drawings.svg_path import ArcTo, ClosePath, CurveTo, LineTo, MoveTo, Point, segments
from cradle.drawings.svg_tree import Element
from cradle.errors import CaptureError
from cradle.geometry.arrays import Floats, preceding
from cradle.geometry.vectors import lengths
from cradle.noun import noun
from cradle.tolerances import TOLERANCES

Strand: TypeAlias = tuple[Floats, Ends]
"""Points in mm and whether they are closed."""


@noun
class Pen:
    """What the drawing of one shape needs to know.

    Attributes
    ----------
    element : Element
        One of `SHAPES`.
    matrix : (2, 3) float64
        From the shape's coordinates to mm.
    view : (float, float)
        Width and height of the viewport in user units, which per cent refer to.
    bounds : Bounds
        Of the whole drawing.
    """

    element: Element
    matrix: Floats
    view: tuple[float, float]
    bounds: Bounds

    def mm(self, points: Any) -> Floats:
        """Points of the shape's coordinates in mm, ``(n, 2)``."""
        return np.asarray(self.bounded(points) @ self.matrix[:, :2].T + self.matrix[:, 2])

    def vector_mm(self, vector: Any) -> Floats:
        """A direction and length of the shape's coordinates in mm, ``(2,)``."""
        return np.asarray(self.matrix[:, :2] @ self.bounded(vector)[0])

    def bounded(self, points: Any) -> Floats:
        """Points that are finite and not absurdly far away, ``(n, 2)``, user units."""
        places = np.asarray(points, dtype=np.float64).reshape(-1, 2)
        if not (np.abs(places) < FURTHEST).all():
            raise CaptureError("a coordinate is not a finite number or out of all bounds")
        return places

    def length(self, name: str, *, axis: int | None) -> float:
        """A length among the attributes, user units, 0 where it is not said."""
        return self.said(name, axis=axis) or 0.0

    def said(self, name: str, *, axis: int | None) -> float | None:
        """A length if it is said; per cent are of the axis, 0 or 1, or of the diagonal."""
        text = self.element.attributes.get(name)
        if text is None or text.strip() == "auto":
            return None
        whole = math.hypot(*self.view) / math.sqrt(2) if axis is None else self.view[axis]
        return user_length(text, whole=whole, where=name)

    @property
    def radii(self) -> tuple[float, float]:
        """``rx`` and ``ry``, user units; one that is not said follows the other (10.2)."""
        rx, ry = self.said("rx", axis=0), self.said("ry", axis=1)
        return (rx if rx is not None else ry) or 0.0, (ry if ry is not None else rx) or 0.0

    def arc(self, centre: Any, a: Any, b: Any, *, start: float, sweep: float) -> Floats:
        """Points of an elliptic arc with these axes, ``(n, 2)``, mm."""
        return arc_points(
            self.mm(centre)[0],
            self.vector_mm(a),
            self.vector_mm(b),
            start_rad=start,
            sweep_rad=sweep,
            chord_mm=TOLERANCES.chord_mm,
        )

    def straight(self, points: Any) -> Floats:
        """Corners of a polyline, ``(n, 2)``, mm."""
        places = self.mm(points)
        check_span(places)
        return places


def strands(pen: Pen) -> list[Strand]:
    """The curves of a shape, mm.

    Raises
    ------
    CaptureError
        If an attribute cannot be read, or the drawing becomes too much.
    """
    made = SHAPES[pen.element.name](pen)
    if pen.element.name in ("rect", "circle", "ellipse"):
        pen.bounds.add_curved(1)
    if pen.element.name != "path":  # whose segments are counted one by one
        pen.bounds.add_points(sum(len(points) for points, _ in made))
    return made


def _path(pen: Pen) -> list[Strand]:
    text = pen.element.attributes.get("d", "").strip(" \t\r\n\f")
    if text in ("", "none"):
        return []
    if text[0] not in "Mm":
        raise CaptureError("path data does not begin with M")
    found: list[Strand] = []
    pieces: list[Floats] = []
    corners: list[Point] = []
    for segment in segments(pen.element.attributes["d"]):
        pen.bounds.add_points(1)  # one that draws nothing takes its time too
        if isinstance(segment, LineTo):
            corners = corners or [segment.start]
            corners.append(segment.end)
            continue
        if corners:
            pieces.append(pen.straight(corners))
            corners = []
        if isinstance(segment, MoveTo):
            _finish(found, pieces, Ends.OPEN)
        elif isinstance(segment, ClosePath):
            _finish(found, pieces, Ends.CLOSED)
        else:
            pieces.append(_curved(pen, segment))
    if corners:
        pieces.append(pen.straight(corners))
    _finish(found, pieces, Ends.OPEN)
    return found


def _finish(found: list[Strand], pieces: list[Floats], ends: Ends) -> None:
    if not pieces:
        return
    points = np.concatenate([pieces[0], *(piece[1:] for piece in pieces[1:])])
    pieces.clear()
    found.append((points, ends))


def _curved(pen: Pen, segment: CurveTo | ArcTo) -> Floats:
    """Points of one curved segment of a path, both ends included."""
    pen.bounds.add_curved(1)
    if isinstance(segment, CurveTo):
        points = bezier_points(pen.mm(segment.control), chord_mm=TOLERANCES.chord_mm)
    else:
        points = pen.arc(
            segment.centre,
            segment.first_axis,
            segment.second_axis,
            start=segment.start_rad,
            sweep=segment.sweep_rad,
        )
        points[0], points[-1] = pen.mm([segment.start, segment.end])
    pen.bounds.add_points(len(points) - 1)
    return points


def _rect(pen: Pen) -> list[Strand]:
    x, y = pen.length("x", axis=0), pen.length("y", axis=1)
    width, height = pen.length("width", axis=0), pen.length("height", axis=1)
    rx, ry = pen.radii
    if min(width, height, rx, ry) < 0:
        raise CaptureError("a rectangle's size and radius cannot be negative")
    if width == 0 or height == 0:
        return []
    rx, ry = min(rx, width / 2), min(ry, height / 2)
    if rx == 0 or ry == 0:
        corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
        return [(pen.straight(corners), Ends.CLOSED)]
    centres = [
        (x + width - rx, y + ry),
        (x + width - rx, y + height - ry),
        (x + rx, y + height - ry),
        (x + rx, y + ry),
    ]
    quarters = [
        pen.arc(centre, (rx, 0.0), (0.0, ry), start=(k - 1) * math.pi / 2, sweep=math.pi / 2)
        for k, centre in enumerate(centres)
    ]
    ring = np.concatenate(quarters)
    step = lengths(ring - preceding(ring))
    return [(ring[step > 1e-9 * np.ptp(ring)], Ends.CLOSED)]  # half circles at the ends meet in a point


def _ellipse(pen: Pen) -> list[Strand]:
    cx, cy = pen.length("cx", axis=0), pen.length("cy", axis=1)
    rx, ry = pen.radii if pen.element.name == "ellipse" else 2 * (pen.length("r", axis=None),)
    if rx < 0 or ry < 0:
        raise CaptureError("a radius cannot be negative")
    if rx == 0 or ry == 0:
        return []
    return [(pen.arc((cx, cy), (rx, 0.0), (0.0, ry), start=0.0, sweep=2 * math.pi)[:-1], Ends.CLOSED)]


def _line(pen: Pen) -> list[Strand]:
    ends = [(pen.length(f"x{k}", axis=0), pen.length(f"y{k}", axis=1)) for k in (1, 2)]
    return [(pen.straight(ends), Ends.OPEN)]


def _poly(pen: Pen) -> list[Strand]:
    values = numbers(pen.element.attributes.get("points", ""), where="points")
    if len(values) % 2:
        raise CaptureError(f"expected pairs, not {len(values)} numbers", where="points")
    if len(values) < 4:
        return []
    points = pen.straight(values)
    closed = pen.element.name == "polygon"
    return [(points, Ends.CLOSED if closed else Ends.OPEN)]


SHAPES: Final[dict[str, Callable[[Pen], list[Strand]]]] = {
    "path": _path,
    "rect": _rect,
    "circle": _ellipse,
    "ellipse": _ellipse,
    "line": _line,
    "polyline": _poly,
    "polygon": _poly,
}
"""Shape elements and what draws them."""
