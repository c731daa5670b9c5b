"""How dimensions and callouts are drawn: extension lines, lines with arrows, and the places that their words may have.

After common practice in technical drawing (ISO 129-1, from memory): arrows
inside where there is room, outside where there is not; figures above the line,
read from below or from the right. Heights run from one origin, marked by a
circle ("superimposed running dimensioning" there).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import product
from typing import Final

import numpy as np

from cradle.drawing.labels import Label, Point
from cradle.drawing.view import Axis, Dimension, Height, Placement
from cradle.geometry.arrays import Floats
from cradle.geometry.ring import Box
from cradle.geometry.shapes import circle_inside
from cradle.noun import record

TEXT_MM: Final = 2.5
"""Height of the figures on paper (ISO 3098-1, from memory: 2.5 is one of its heights)."""
ARROW_MM: Final = 2.2
_HALF_MM: Final = 0.36
_PAST_MM: Final = 1.2
_ROOM_MM: Final = 3 * ARROW_MM
_ABOVE_LINE_MM: Final = 0.8
_FIRST_MM: Final = 8.0
"""Distance from a view to the first line beside it."""
_TIER_MM: Final = 7.0
"""Distance from one line beside a view to the next."""
ORIGIN_MM: Final = 0.7
_PITCH_MM: Final = 1.5 * TEXT_MM
_SHIFTS: Final = (0.0, 0.12, -0.12, 0.24, -0.24, 0.36, -0.36)

Segment = tuple[Point, Point]
Arrow = tuple[Point, Point, Point]
_SHORT_MM: Final = 25.0
"""Words up to this long may stand to the right of the view."""
_PAST_VIEW_MM: Final = 20.0
"""How far words may reach past the view's right end."""
_LEAVES_MM: Final = 2.0
"""How far a callout's line runs level beside the words before it bends."""
_BESIDE_MM: Final = 6.0
"""How far beside what they are about words begin or end."""


@record
class DrawnDimension:
    """Line pieces and filled arrows on paper, mm, and the labels that the length may have, best first."""

    name: str
    strokes: tuple[Segment, ...]
    arrows: tuple[Arrow, ...]
    labels: tuple[Label, ...]


def arrow(tip: Point, along: Point) -> Arrow:
    """An arrow head whose tip is at a point and which points along a unit vector."""
    (x, y), (dx, dy) = tip, along
    back = (x - ARROW_MM * dx, y - ARROW_MM * dy)
    return (
        tip,
        (back[0] - _HALF_MM * dy, back[1] + _HALF_MM * dx),
        (back[0] + _HALF_MM * dy, back[1] - _HALF_MM * dx),
    )


def drawn_dimension(
    dimension: Dimension, *, scale: float, box: Box, first_mm: float = _FIRST_MM
) -> DrawnDimension:
    """A dimension on paper.

    Parameters
    ----------
    dimension : Dimension
        At true size.
    scale : float
        Paper over true size.
    box : Box
        What the view covers on paper.
    first_mm : float
        From the view to the first line beside it.
    """
    across = dimension.axis is Axis.ACROSS
    k = 0 if across else 1
    start = (scale * dimension.start_mm[0], scale * dimension.start_mm[1])
    end = (scale * dimension.end_mm[0], scale * dimension.end_mm[1])
    beside = first_mm + _TIER_MM * (dimension.tier - 1)
    at = {
        Placement.INSIDE: start[1 - k],
        Placement.LEFT: box[0] - beside,
        Placement.BELOW: box[1] - beside,
        Placement.ABOVE: box[3] + beside,
    }[dimension.placement]
    a, b = start[k], end[k]

    def place(along: float, off: float) -> Point:
        return (along, off) if across else (off, along)

    strokes = []
    for point in (start, end):
        away = at - point[1 - k]
        if abs(away) > 1e-6:
            strokes.append((point, place(point[k], at + (_PAST_MM if away > 0 else -_PAST_MM))))
    inside = b - a >= _ROOM_MM
    reach = 0.0 if inside else 2 * ARROW_MM
    strokes.append((place(a - reach, at), place(b + reach, at)))
    way = -1.0 if inside else 1.0
    arrows = tuple(arrow(place(tip, at), place(sign * way, 0.0)) for tip, sign in ((a, 1.0), (b, -1.0)))
    past = None if dimension.placement is Placement.INSIDE else reach
    labels = _figures(f"{dimension.length_mm:.2f}", a, b, at=at, past=past, across=across)
    return DrawnDimension(name=dimension.name, strokes=tuple(strokes), arrows=arrows, labels=tuple(labels))


def _figures(
    text: str, a: float, b: float, *, at: float, past: float | None, across: bool
) -> Iterator[Label]:
    """The labels that a length may have, best first: above its line, from the middle outwards; under it; then past its ends, if ``past`` says how far."""
    size = Label(text=text, at=(0.0, 0.0), height_mm=TEXT_MM).width_mm
    above = at + _ABOVE_LINE_MM if across else at - _ABOVE_LINE_MM
    under = at - _ABOVE_LINE_MM - TEXT_MM if across else at + _ABOVE_LINE_MM + TEXT_MM
    spare = (b - a) - size
    middles = [(a + b) / 2 + spare * shift for shift in _SHIFTS] if spare > 0 else []
    ends = [] if past is None else [a - past - size / 2 - 1.0, b + past + size / 2 + 1.0]
    for off, middle in (*product((above, under), middles), *product((above, under), ends)):
        yield Label(
            text=text, at=(middle, off) if across else (off, middle), height_mm=TEXT_MM, upright=not across
        )


@record
class DrawnHeights:
    """The heights of a view on paper: line pieces, arrows, where the circle at their origin lies, and their labels."""

    strokes: tuple[Segment, ...]
    arrows: tuple[Arrow, ...]
    origin: Point
    labels: tuple[Label, ...]


def drawn_heights(heights: Sequence[Height], *, scale: float, box: Box) -> DrawnHeights:
    """Heights on paper, to the right of a view, their figures one above the other.

    Parameters
    ----------
    heights : sequence of Height
        At least one, rising.
    box : Box
        What the view covers on paper; its lowest edge is the base.
    """
    x = box[2] + _FIRST_MM
    base = (x, 0.0)
    strokes: list[Segment] = [((box[2] + 1.0, 0.0), (x + _PAST_MM, 0.0))]
    arrows, ups = [], [0.0]
    for height in heights:
        px, up = scale * height.at_mm[0], scale * height.at_mm[1]
        strokes.append(((px, up), (x + _PAST_MM, up)))
        arrows.append(arrow((x, up), (0.0, 1.0)))
        ups.append(up)
    strokes.append((base, (x, ups[-1])))
    texts = ["0", *(height.text for height in heights)]
    labels = []
    for text, up, middle in zip(texts, ups, spread(ups, least=_PITCH_MM), strict=True):
        far = x + _PAST_MM + 3.5
        strokes.append(((x + _PAST_MM, up), (far, middle)))
        labels.append(Label(text=text, at=(far + 0.8, middle - TEXT_MM / 2), height_mm=TEXT_MM, anchor=0.0))
    return DrawnHeights(strokes=tuple(strokes), arrows=tuple(arrows), origin=base, labels=tuple(labels))


def spread(places: Sequence[float], *, least: float) -> list[float]:
    """Places moved as little as possible so that they rise and neighbours are at least ``least`` apart.

    Least squares under that order: once ``k least`` is taken off the k-th
    place, they need only not fall, which pooling neighbours that do gives
    (pool adjacent violators; Ayer et al., Ann. Math. Statist. 26, 1955).

    >>> spread([0.0, 1.0, 10.0], least=3.0)
    [-1.0, 2.0, 10.0]
    """
    pools: list[list[float]] = []  # sum and count
    for k, place in enumerate(places):
        pools.append([place - k * least, 1.0])
        while len(pools) > 1 and pools[-2][0] / pools[-2][1] > pools[-1][0] / pools[-1][1]:
            total, count = pools.pop()
            pools[-1][0] += total
            pools[-1][1] += count
    flat = [total / count for total, count in pools for _ in range(int(count))]
    return [value + k * least for k, value in enumerate(flat)]


def circle(middle: Point, radius_mm: float) -> Floats:
    """A small circle as a ring, ``(16, 2)``."""
    return np.asarray(middle) + circle_inside(radius_mm, points=16)


def callout_places(text: str, at: Point, box: Box) -> Iterator[Label]:
    """The labels that a callout may have, best first, above the view: beginning or ending near its place, to the right of it, and further out."""
    label = Label(text=text, at=(0.0, 0.0), height_mm=TEXT_MM, anchor=0.0)
    before, after = at[0] - label.width_mm - _BESIDE_MM, at[0] + _BESIDE_MM
    starts = [after] if after + label.width_mm <= box[2] + _PAST_VIEW_MM else []
    starts.append(before)
    if label.width_mm <= _SHORT_MM:
        starts.append(box[2] + 4.0)
    ends = box[2] + _PAST_VIEW_MM - label.width_mm
    for up in (ARROW_MM + 1, 8.0, 12.0, 16.0, 20.0, 24.0):
        for x in (*starts, ends, ends - 12.0, ends - 24.0, box[2] + 4.0, box[2] + 16.0):
            begins = label.moved((x, box[3] + up))
            nearer_its_end = at[0] > x + label.width_mm / 2
            yield (
                replace(begins, anchor=1.0, at=(x + label.width_mm, box[3] + up))
                if nearer_its_end
                else begins
            )


def leader_to(label: Label, at: Point, *, radius: float) -> tuple[Segment, Segment]:
    """The line of a callout: from the edge of a circle to a bend beside the nearer end of the words, and from there to them."""
    x, y = label.at
    out = 1.0 if label.anchor == 1.0 else -1.0
    joint = (x + _LEAVES_MM * out, y + TEXT_MM / 2)
    way = _unit(at, joint)
    edge = (at[0] + radius * way[0], at[1] + radius * way[1])
    return (edge, joint), (joint, (x + 0.6 * out, joint[1]))


def leader_arrow(leader: tuple[Segment, Segment]) -> Arrow:
    """The arrow at the circle's end of a leader."""
    edge, joint = leader[0]
    x, y = _unit(edge, joint)
    return arrow(edge, (-x, -y))


def _unit(start: Point, end: Point) -> Point:
    """The unit vector from one point towards another."""
    away = np.array(end) - np.array(start)
    x, y = away / max(float(np.hypot(*away)), 1e-9)
    return float(x), float(y)
