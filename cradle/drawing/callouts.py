"""How a callout is drawn: the places that its words may have above the view, and the line that leads from them to a circle."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

import numpy as np

from cradle.drawing.dimension_lines import ARROW_MM, TEXT_MM, Arrow, Segment, arrow
from cradle.drawing.labels import Label, Point
from cradle.geometry.ring import Box

_SHORT_MM: Final = 25.0
"""Words up to this long may stand to the right of the view."""
_PAST_MM: Final = 20.0
"""So far words may reach past the view's right end."""
_LEAVES_MM: Final = 2.0
"""So far the line runs level beside the words before it bends."""
_BESIDE_MM: Final = 6.0
"""Words begin or end so far beside what they are about."""


def callout_places(text: str, at: Point, box: Box) -> Iterator[Label]:
    """Above the view: beginning or ending near its place, to the right of it, and further out."""
    label = Label(text=text, at=(0.0, 0.0), height_mm=TEXT_MM, anchor=0.0)
    before, after = at[0] - label.width_mm - _BESIDE_MM, at[0] + _BESIDE_MM
    starts = [after] if after + label.width_mm <= box[2] + _PAST_MM else []
    starts.append(before)
    if label.width_mm <= _SHORT_MM:
        starts.append(box[2] + 4.0)
    ends = box[2] + _PAST_MM - label.width_mm
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
    """From the edge of a circle to a bend beside the nearer end of the words, and from there to them."""
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
