"""How a dimension is drawn: extension lines, a line with two arrows, its length in figures.

After common practice in technical drawing (ISO 129-1, from memory): arrows
inside where there is room, outside where there is not; figures above the line,
read from below or from the right.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, TypeAlias

from cradle.drawing.sheet import Axis, Dimension

Point: TypeAlias = tuple[float, float]

TEXT_MM: Final = 2.6
"""Height of the figures."""
_ARROW_MM: Final = 2.4
_HALF_MM: Final = 0.4
_PAST_MM: Final = 1.2
_ROOM_MM: Final = 3 * _ARROW_MM


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnDimension:
    """Line pieces, filled arrows and the figures, whose middle of the base line is at ``text_at``."""

    strokes: tuple[tuple[Point, Point], ...]
    arrows: tuple[tuple[Point, Point, Point], ...]
    text: str
    text_at: Point
    upright: bool
    """Read from the right: turned by a quarter."""


def drawn_dimension(dimension: Dimension) -> DrawnDimension:
    """The parts of a dimension, mm, on the same sheet."""
    across = dimension.axis is Axis.ACROSS
    k = 0 if across else 1
    a, b, at = dimension.start_mm[k], dimension.end_mm[k], dimension.at_mm

    def place(along: float, off: float) -> Point:
        return (along, off) if across else (off, along)

    strokes = []
    for end in (dimension.start_mm, dimension.end_mm):
        away = at - end[1 - k]
        if abs(away) > 1e-6:
            past = _PAST_MM if away > 0 else -_PAST_MM
            strokes.append((end, place(end[k], at + past)))
    inside = b - a >= _ROOM_MM
    reach = 0.0 if inside else 2 * _ARROW_MM
    strokes.append((place(a - reach, at), place(b + reach, at)))
    way = 1.0 if inside else -1.0
    arrows = tuple(
        (
            place(tip, at),
            place(tip + sign * way * _ARROW_MM, at + _HALF_MM),
            place(tip + sign * way * _ARROW_MM, at - _HALF_MM),
        )
        for tip, sign in ((a, 1.0), (b, -1.0))
    )
    middle = (a + b) / 2 if inside else a - reach - TEXT_MM
    base = at + 0.8 if across else at - 0.8
    return DrawnDimension(
        strokes=tuple(strokes),
        arrows=arrows,
        text=f"{dimension.length_mm:.2f}",
        text_at=place(middle, base),
        upright=not across,
    )
