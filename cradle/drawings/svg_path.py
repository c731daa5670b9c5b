"""Path data of SVG as segments in user units, relative commands and shorthands resolved.

Section numbers are those of the W3C's Scalable Vector Graphics (SVG) 2.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, TypeAlias

from cradle.drawings.svg_frame import NUMBER
from cradle.errors import CaptureError

Point: TypeAlias = tuple[float, float]

_SKIP: Final = re.compile(r"[\s,]*")
_NUMBER: Final = re.compile(NUMBER)
_FLAG: Final = re.compile(r"[01]")
_ARGUMENTS: Final = {
    "M": "nn",
    "L": "nn",
    "H": "n",
    "V": "n",
    "C": "nnnnnn",
    "S": "nnnn",
    "Q": "nnnn",
    "T": "nn",
    "A": "nnnffnn",
    "Z": "",
}
"""Numbers and flags that follow each command (9.3.9); flags may stand close together."""


@dataclass(frozen=True, slots=True)
class MoveTo:
    """A new beginning."""

    end: Point


@dataclass(frozen=True, slots=True)
class ClosePath:
    """The way back to the beginning."""


@dataclass(frozen=True, slots=True)
class LineTo:
    """A straight line."""

    start: Point
    end: Point


@dataclass(frozen=True, slots=True)
class CurveTo:
    """A Bezier curve of degree 2 or 3 through its first and last control point."""

    control: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class ArcTo:
    """``centre + first_axis cos t + second_axis sin t``, t from ``start_rad`` by ``sweep_rad``."""

    start: Point
    end: Point
    centre: Point
    first_axis: Point
    second_axis: Point
    start_rad: float
    sweep_rad: float


Segment: TypeAlias = MoveTo | ClosePath | LineTo | CurveTo | ArcTo


def segments(text: str) -> Iterator[Segment]:
    """The segments of path data in order.

    Raises
    ------
    CaptureError
        If the data does not begin with M, cannot be read or breaks off; the character is told.

    Examples
    --------
    >>> list(segments("m1,2 h3z"))[1]
    LineTo(start=(1.0, 2.0), end=(4.0, 2.0))
    """
    at = start = (0.0, 0.0)
    reflected: Point | None = None
    before = ""
    for command, v in _commands(text):
        kind = command.upper()
        x, y = at if command.islower() else (0.0, 0.0)
        if kind != before and (before, kind) not in _FOLLOWS:
            reflected = None
        before = kind
        if kind == "Z":
            yield ClosePath()
            at = start
        elif kind == "M":
            at = start = (x + v[0], y + v[1])
            yield MoveTo(at)
        elif kind in "LHV":
            end = {"L": (x + v[0], y + v[-1]), "H": (x + v[0], at[1]), "V": (at[0], y + v[-1])}[kind]
            yield LineTo(at, end)
            at = end
        elif kind == "A":
            end = (x + v[5], y + v[6])
            yield from _arc(at, end, radii=(abs(v[0]), abs(v[1])), turn_deg=v[2], large=v[3], sweep=v[4])
            at = end
        else:
            control = [at, *((x + v[k], y + v[k + 1]) for k in range(0, len(v), 2))]
            if kind in "ST":  # 9.3.6, 9.3.7: the first control point mirrors the last one before
                control.insert(1, reflected or at)
            yield CurveTo(tuple(control))
            at, last = control[-1], control[-2]
            reflected = (2 * at[0] - last[0], 2 * at[1] - last[1])


_FOLLOWS: Final = {("C", "S"), ("S", "C"), ("Q", "T"), ("T", "Q")}
"""Commands whose last control point counts for the next one."""


def _commands(text: str) -> Iterator[tuple[str, list[float]]]:
    """Each command with its numbers; what is left unwritten before further numbers is written out."""
    at = _skipped(text, 0)
    command = ""
    while at < len(text):
        if text[at].upper() in _ARGUMENTS:
            command = text[at]
            at = _skipped(text, at + 1)
        elif not command or command in "Zz":
            raise _unreadable(text, at)
        values: list[float] = []
        for kind in _ARGUMENTS[command.upper()]:
            value, at = _value(text, at, kind=kind)
            values.append(value)
        yield command, values
        command = {"M": "L", "m": "l"}.get(command, command)


def _value(text: str, at: int, *, kind: str) -> tuple[float, int]:
    """A number, or a flag, and where what follows it begins."""
    match = (_NUMBER if kind == "n" else _FLAG).match(text, at)
    if match is None:
        if at < len(text) and text[at].upper() not in _ARGUMENTS:
            raise _unreadable(text, at)
        raise CaptureError("path data breaks off in the middle of a curve")
    value = float(match[0])
    if math.isinf(value):
        raise CaptureError(f'path data "{match[0][:20]}" at character {at + 1} is not a finite number')
    return value, _skipped(text, match.end())


def _skipped(text: str, at: int) -> int:
    match = _SKIP.match(text, at)
    return at if match is None else match.end()


def _unreadable(text: str, at: int) -> CaptureError:
    return CaptureError(f'path data "{text[at : at + 20].strip()}" at character {at + 1} cannot be read')


def _arc(
    start: Point, end: Point, *, radii: Point, turn_deg: float, large: float, sweep: float
) -> Iterator[Segment]:
    """An elliptic arc from its end points to its centre (B.2.4); radii too small are made to reach (B.2.5)."""
    rx, ry = radii
    if start == end:
        return
    if rx == 0 or ry == 0:
        yield LineTo(start, end)
        return
    cos, sin = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
    dx, dy = (start[0] - end[0]) / 2, (start[1] - end[1]) / 2
    u, v = (cos * dx + sin * dy) / rx, (cos * dy - sin * dx) / ry
    reach = math.hypot(u, v)
    away = math.sqrt((1 / reach - 1) * (1 / reach + 1)) if 0 < reach < 1 else 0.0
    if reach > 1:
        rx, ry, u, v = rx * reach, ry * reach, u / reach, v / reach
    away = -away if large == sweep else away
    cu, cv = away * v, -away * u
    a, b = (rx * cos, rx * sin), (-ry * sin, ry * cos)
    centre = (
        (start[0] + end[0]) / 2 + a[0] * cu + b[0] * cv,
        (start[1] + end[1]) / 2 + a[1] * cu + b[1] * cv,
    )
    first = math.atan2(v - cv, u - cu)
    turn = (math.atan2(-v - cv, -u - cu) - first) % (2 * math.pi)
    yield ArcTo(start, end, centre, a, b, first, turn if sweep else turn - 2 * math.pi)
