"""A view as drawn on paper at a scale: every line, arrow and label in its place, none covering another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import product
from typing import Final

import numpy as np

from cradle.drawing.dimension_lines import (
    ORIGIN_MM,
    TEXT_MM,
    Arrow,
    DrawnDimension,
    Segment,
    arrow,
    callout_places,
    circle,
    drawn_dimension,
    drawn_heights,
    leader_arrow,
    leader_to,
)
from cradle.drawing.labels import Label, Point, Taken, crossed
from cradle.drawing.view import Axis, Callout, CuttingPlane, Line, Placement, Stroke, View, open_line
from cradle.geometry.arrays import Floats, following, frozen
from cradle.geometry.ring import Box, extents
from cradle.noun import noun

_LETTER_MM: Final = 3.5
"""Height of the letters of cutting planes on paper."""
_TITLE_TALL_MM: Final = 3.0
_PLANE_PAST_MM: Final = 4.0
_PLANE_END_MM: Final = 3.0
_SHAFTS_MM: Final = (6.0, 10.0, 14.0, 20.0)
_STEP_MM: Final = 6.0
"""How much further out a cutting plane ends whose letter would cover another."""
_BESIDE_PLANES_MM: Final = 14.0
_LEAST_APART_MM: Final = TEXT_MM + 2.0
"""Least distance between dimensions inside a view."""
_TITLE_MM: Final = 3.0
"""Gap between all that is drawn and the title under it."""


@noun
class DrawnView:
    """A view on paper, mm; a point of the view lies at ``scale`` times its place.

    Attributes
    ----------
    lines : tuple of Line
        Of the view and its cutting planes.
    material : tuple of (n, 2) float64
    strokes : tuple of (name, segments)
        The thin lines of every dimension.
    arrows : tuple of Arrow
        Filled.
    left_out : int
        Dimensions that found no room.
    """

    title: str
    lines: tuple[Line, ...]
    material: tuple[Floats, ...]
    strokes: tuple[tuple[str, tuple[Segment, ...]], ...]
    arrows: tuple[Arrow, ...]
    labels: tuple[Label, ...]
    left_out: int = 0

    def box(self) -> Box:
        """The box around lines, arrows and words."""
        points = [line.points_mm for line in self.lines]
        points += [np.array(segments).reshape(-1, 2) for _, segments in self.strokes]
        points += [np.array(self.arrows).reshape(-1, 2)] if self.arrows else []
        points += [np.array(label.box()).reshape(2, 2) for label in self.labels]
        return extents(np.concatenate(points))

    def placed(self, *, scale: float = 1.0, by: Point = (0.0, 0.0)) -> DrawnView:
        """The same, larger or smaller, then moved."""

        def put(point: Point) -> Point:
            return scale * point[0] + by[0], scale * point[1] + by[1]

        shift = np.array(by)
        return replace(
            self,
            lines=tuple(
                replace(line, points_mm=frozen(scale * line.points_mm + shift)) for line in self.lines
            ),
            material=tuple(frozen(scale * ring + shift) for ring in self.material),
            strokes=tuple(
                (name, tuple((put(a), put(b)) for a, b in segments)) for name, segments in self.strokes
            ),
            arrows=tuple((put(a), put(b), put(c)) for a, b, c in self.arrows),
            labels=tuple(
                replace(label, at=put(label.at), height_mm=scale * label.height_mm) for label in self.labels
            ),
        )


def drawn_view(view: View, *, scale: float) -> DrawnView:
    """A view on paper; ``scale`` is paper over true size.

    Dimensions that find no place where they cover nothing are left out and
    counted: a drawing that cannot be read tells nothing, and the inspection
    table has them all.
    """
    x0, y0, x1, y1 = view.box_mm()
    box = (scale * x0, scale * y0, scale * x1, scale * y1)
    lines = [replace(line, points_mm=frozen(scale * line.points_mm)) for line in view.lines]
    page = _Page(lines)
    first = {"first_mm": _BESIDE_PLANES_MM} if view.planes else {}
    dimensions = [drawn_dimension(d, scale=scale, box=box, **first) for d in view.dimensions]
    inside = [k for k, d in enumerate(view.dimensions) if d.placement is Placement.INSIDE]
    beside = [k for k in range(len(dimensions)) if k not in inside]
    page.heights(view, scale=scale, box=box)
    page.lines_beside([dimensions[k] for k in beside])
    for plane in view.planes:
        page.plane(plane, scale=scale, box=box)
    page.figures_beside([dimensions[k] for k in beside])
    page.inside([dimensions[k] for k in inside])
    page.callouts(view.callouts, scale=scale, box=box)
    page.title(view.title, left=box[0])
    return DrawnView(
        title=view.title,
        lines=tuple(page.lines),
        material=tuple(frozen(scale * ring) for ring in view.material),
        strokes=tuple(page.strokes),
        arrows=tuple(page.arrows),
        labels=tuple(page.labels),
        left_out=page.left_out,
    )


class _Page:
    """What is drawn so far."""

    def __init__(self, lines: list[Line]) -> None:
        self.lines = lines
        self.strokes: list[tuple[str, tuple[Segment, ...]]] = []
        self.arrows: list[Arrow] = []
        self.labels: list[Label] = []
        self.left_out = 0
        self._taken = Taken(_closed(line) for line in lines)

    def _draw(self, name: str, segments: Sequence[Segment], arrows: Sequence[Arrow]) -> None:
        self.strokes.append((name, tuple(segments)))
        self.arrows += arrows
        self._taken.add([*segments, *((*a, a[0]) for a in arrows)])

    def _clear_of_words(self, segments: Sequence[Segment]) -> bool:
        return bool(self._taken.clear_of_words(np.array(segments).reshape(1, -1, 4))[0])

    def _label(self, candidates: Sequence[Label]) -> bool:
        label = self._taken.first_free(candidates)
        if label is not None:
            self.labels.append(label)
        return label is not None

    def plane(self, plane: CuttingPlane, *, scale: float, box: Box) -> None:
        """A chain line with thick ends; at both, an arrow the way it is looked, and the letter behind it."""
        across, at = plane.axis is Axis.ACROSS, scale * plane.at_mm

        def place(along: float, off: float) -> Point:
            return (along, off) if across else (off, along)

        k = 0 if across else 1
        low, high = box[k] - _PLANE_PAST_MM, box[k + 2] + _PLANE_PAST_MM
        for further, shaft in product(range(6), _SHAFTS_MM):
            ends = (low - further * _STEP_MM, high + further * _STEP_MM)
            tails = [place(end, at - plane.looking * shaft) for end in ends]
            words = [_letter(plane, tail) for tail in tails]
            shafts = [(tail, place(end, at)) for tail, end in zip(tails, ends, strict=True)]
            chain = (place(ends[0], at), place(ends[1], at))
            free = self._taken.free(np.array([word.box() for word in words]))
            if free.all() and self._clear_of_words([*shafts, chain]):
                break
        self.lines.append(open_line(chain, Stroke.PLANE))
        for end, sign in zip(ends, (1.0, -1.0), strict=True):
            thick = [place(end, at), place(end + sign * _PLANE_END_MM, at)]
            self.lines.append(open_line(thick, Stroke.PLANE_END))
        self._taken.add([chain])
        self._draw(
            f"cutting plane {plane.letter}",
            shafts,
            [arrow(place(end, at), place(0.0, plane.looking)) for end in ends],
        )
        for word in words:
            self._label([word])

    def heights(self, view: View, *, scale: float, box: Box) -> None:
        """Heights from one origin, to the right."""
        if not view.heights:
            return
        found = drawn_heights(view.heights, scale=scale, box=box)
        ring = circle(found.origin, ORIGIN_MM)
        sides = np.stack([ring, following(ring)], axis=1).tolist()
        self._draw(
            "heights", [*found.strokes, *(((a[0], a[1]), (b[0], b[1])) for a, b in sides)], found.arrows
        )
        for label in found.labels:
            self.left_out += not self._label([label])

    def lines_beside(self, dimensions: Sequence[DrawnDimension]) -> None:
        """The lines of dimensions beside the view, before any figures, so that none stand on another's line or on a cutting plane."""
        for dimension in dimensions:
            self._draw(dimension.name, dimension.strokes, dimension.arrows)

    def figures_beside(self, dimensions: Sequence[DrawnDimension]) -> None:
        """The figures of dimensions beside the view."""
        for dimension in dimensions:
            self.left_out += not self._label(dimension.labels)

    def inside(self, dimensions: Sequence[DrawnDimension]) -> None:
        """Dimensions across the view's inside that lie far enough apart, each with its figures."""
        kept: list[tuple[float, float, float]] = []
        ends_first = [*dimensions[-1:], *dimensions[:-1]]
        for dimension in ends_first:
            (low, level), (high, _) = dimension.strokes[-1]
            label = None
            if all(
                abs(level - other) >= _LEAST_APART_MM or high < before or after < low
                for other, before, after in kept
            ) and self._clear_of_words(dimension.strokes):
                label = self._taken.first_free(dimension.labels)
            if label is None:
                self.left_out += 1
                continue
            kept.append((level, low, high))
            self.labels.append(label)
            self._draw(dimension.name, dimension.strokes, dimension.arrows)

    def callouts(self, callouts: Sequence[Callout], *, scale: float, box: Box) -> None:
        """Words above the view's right end, each with a line to its place."""
        for callout in callouts:
            at = (scale * callout.at_mm[0], scale * callout.at_mm[1])
            labels = list(callout_places(callout.text, at, box))
            leaders = [leader_to(label, at, radius=scale * callout.radius_mm) for label in labels]
            best = self._fewest_crossings(np.array([label.box() for label in labels]), np.array(leaders))
            if best is None:
                self.left_out += 1
                continue
            label, leader = labels[best], leaders[best]
            self._label([label])
            self._draw(callout.text, leader, [leader_arrow(leader)])

    def _fewest_crossings(self, boxes: Floats, leaders: Floats) -> int | None:
        """The number of the first label that covers nothing and whose leader covers no words and crosses fewest lines.

        Boxes ``(n, 4)``, leaders of two segments ``(n, 2, 2, 2)``; None where there are none such.
        """
        segments = leaders.reshape(-1, 2, 4)
        fitting = self._taken.free(boxes) & self._taken.clear_of_words(segments)
        fitting &= ~crossed(segments[:, 0], boxes)
        found = np.flatnonzero(fitting)
        return int(found[self._taken.crossings(segments[found]).argmin()]) if len(found) else None

    def title(self, text: str, *, left: float) -> None:
        """The view's title, under all that is drawn."""
        points = [np.array(segments).reshape(-1, 2)[:, 1].min() for _, segments in self.strokes]
        points += [line.points_mm[:, 1].min() for line in self.lines]
        points += [label.box()[1] for label in self.labels]
        low = float(min(points))
        self.labels.append(
            Label(
                text=text, at=(left, low - _TITLE_MM - _TITLE_TALL_MM), height_mm=_TITLE_TALL_MM, anchor=0.0
            )
        )


def _letter(plane: CuttingPlane, tail: Point) -> Label:
    """A cutting plane's letter behind the tail of its arrow."""
    x, y = tail
    if plane.axis is Axis.ACROSS:
        off = -1.2 - _LETTER_MM if plane.looking > 0 else 1.6
        return Label(text=plane.letter, at=(x, y + off), height_mm=_LETTER_MM)
    off = -3.0 if plane.looking > 0 else 3.0
    return Label(text=plane.letter, at=(x + off, y - _LETTER_MM / 2), height_mm=_LETTER_MM)


def _closed(line: Line) -> Floats:
    """All corners of a line on paper, the first one again where it is closed."""
    return np.concatenate([line.points_mm, line.points_mm[:1]]) if line.closed else line.points_mm
