"""Lengths, transforms and viewports of SVG, as 2 x 3 matrices.

A matrix ``m`` takes the point (x, y) to ``m[:, :2] @ (x, y) + m[:, 2]``.
``where`` names the attribute that is read; the reader says whose it is.
Section numbers are those of the W3C's Scalable Vector Graphics (SVG) 2.
"""

from __future__ import annotations

import math
import re
from itertools import islice
from typing import Final

import numpy as np

from cradle.drawings.bounds import MOST_POINTS
from cradle.drawings.svg_tree import Element
from cradle.errors import CaptureError, located
from cradle.geometry.arrays import Floats
from cradle.units import MM_PER

NUMBER: Final = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"
_LENGTH = re.compile(rf"\s*({NUMBER})\s*([a-zA-Z]*|%)\s*")
_TRANSFORM = re.compile(r"\s*([a-zA-Z]+)\s*\(([^()]*)\)\s*,?")
_NUMBERS = re.compile(rf"\s*(?:{NUMBER}(?:\s*,\s*|\s+|(?=[+-])|$))*+\s*")
"""Possessive (``*+``): backtracking would take 300 bytes for each number."""
_MOST_NUMBERS: Final = 2 * MOST_POINTS
_MOST_STEPS: Final = 10_000
"""Most steps of one transform; usual ones have a few."""
ABSOLUTE: Final = {**{unit: MM_PER[unit] for unit in ("mm", "cm", "in", "pt", "pc")}, "q": 0.25}
"""Millimetres per unit of those that mean a true length on paper (CSS Values and Units 4, section 6.2)."""
FURTHEST: Final = 1e12
"""Largest number in a transform or coordinate; beyond it neighbouring numbers are too far apart to draw with."""
IDENTITY: Final = np.array([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])


def product(outer: Floats, inner: Floats) -> Floats:
    """The matrix that applies ``inner`` first, then ``outer``."""
    return np.column_stack([outer[:, :2] @ inner[:, :2], outer[:, :2] @ inner[:, 2] + outer[:, 2]])


def check_matrix(matrix: Floats) -> None:
    """Raise unless a matrix keeps coordinates within all bounds.

    Raises
    ------
    CaptureError
        If it does not.
    """
    if not (np.abs(matrix) < FURTHEST).all():
        raise CaptureError("the drawing's transforms make it far too large")


def length_parts(text: str, *, where: str) -> tuple[float, str]:
    """Number and unit of a length; the unit is ``""`` when there is none.

    Raises
    ------
    CaptureError
        If it is no length.
    """
    match = _LENGTH.fullmatch(text)
    if match is None or not math.isfinite(float(match[1])):
        raise CaptureError(f'expected a length, not "{text[:40]}"', where=where)
    unit = match[2].lower()
    if unit not in {"", "px", "%", *ABSOLUTE}:
        raise CaptureError(
            f'the unit "{unit[:20]}" cannot be turned into mm', where=where, hint="save the drawing in mm"
        )
    return float(match[1]), unit


def user_length(text: str, *, whole: float, where: str) -> float:
    """A length in user units: px of 96 to the inch; per cent are of ``whole`` (8.9)."""
    number, unit = length_parts(text, where=where)
    if unit == "%":
        return number / 100 * whole
    return number * ABSOLUTE[unit] / MM_PER["px"] if unit in ABSOLUTE else number


def numbers(text: str, *, where: str) -> list[float]:
    """The numbers of a list parted by spaces or commas.

    Raises
    ------
    CaptureError
        If something else is in it, or it is too long.
    """
    if _NUMBERS.fullmatch(text) is None:
        raise CaptureError(f'expected numbers, not "{text.strip()[:40]}"', where=where)
    found = islice(re.finditer(NUMBER, text), _MOST_NUMBERS + 1)
    values = [float(number[0]) for number in found]
    if len(values) > _MOST_NUMBERS:
        raise CaptureError(f"more than {_MOST_NUMBERS} numbers", where=where, hint="save the outline alone")
    if not all(map(math.isfinite, values)):
        raise CaptureError("a number is too large", where=where)
    return values


def transform(text: str, *, where: str) -> Floats:
    """The matrix of a ``transform`` attribute (8.5).

    Raises
    ------
    CaptureError
        If it cannot be read, is too long, or flattens everything to a line.
    """
    matrix, at, steps = IDENTITY, 0, 0
    if text.strip() in ("", "none"):
        return matrix
    while at < len(text):
        steps += 1
        if steps > _MOST_STEPS:
            raise CaptureError(
                f"more than {_MOST_STEPS} steps in a row", where=where, hint="save the outline alone"
            )
        match = _TRANSFORM.match(text, at)
        step = _step(match[1], numbers(match[2], where=where)) if match else None
        if match is None or step is None:
            raise CaptureError(f'the transform "{text[at : at + 40].strip()}" is not understood', where=where)
        matrix, at = product(matrix, step), match.end()
        with located(where):
            check_matrix(matrix)
    if float(np.linalg.det(matrix[:, :2])) == 0.0:
        raise CaptureError(f'the transform "{text.strip()[:40]}" leaves nothing to see', where=where)
    return matrix


def _step(kind: str, v: list[float]) -> Floats | None:
    count = len(v)
    if kind == "matrix" and count == 6:
        return np.array([[v[0], v[2], v[4]], [v[1], v[3], v[5]]])
    if kind == "translate" and count in (1, 2):
        return np.array([[1.0, 0.0, v[0]], [0.0, 1.0, v[1] if count == 2 else 0.0]])
    if kind == "scale" and count in (1, 2):
        return np.array([[v[0], 0.0, 0.0], [0.0, v[-1], 0.0]])
    if kind == "rotate" and count in (1, 3):
        cos, sin = _cos_sin_deg(v[0])
        turn = np.array([[cos, -sin, 0.0], [sin, cos, 0.0]])
        centre = np.array(v[1:]) if count == 3 else np.zeros(2)
        turn[:, 2] = centre - turn[:, :2] @ centre
        return turn
    if kind == "skewX" and count == 1:
        return np.array([[1.0, math.tan(math.radians(v[0])), 0.0], [0.0, 1.0, 0.0]])
    if kind == "skewY" and count == 1:
        return np.array([[1.0, 0.0, 0.0], [math.tan(math.radians(v[0])), 1.0, 0.0]])
    return None


def _cos_sin_deg(angle_deg: float) -> tuple[float, float]:
    """Cosine and sine, exact at quarter turns."""
    quarter, rest = divmod(angle_deg, 90.0)
    if rest == 0.0:
        return ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarter % 4)]
    return math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))


def view_box(element: Element) -> tuple[float, float, float, float] | None:
    """Left, top, width and height of an element's ``viewBox``, or None.

    Raises
    ------
    CaptureError
        If it is not four numbers with a size above 0.
    """
    text = element.attributes.get("viewBox")
    if text is None:
        return None
    values = numbers(text, where=f"viewBox of {element}")
    if len(values) != 4 or min(values[2:]) < 1 / FURTHEST or max(map(abs, values)) > FURTHEST:
        raise CaptureError(
            f'expected left, top, width and height above 0, not "{text[:40]}"',
            where=f"viewBox of {element}",
        )
    return values[0], values[1], values[2], values[3]


def fitted(
    box: tuple[float, float, float, float], *, width: float, height: float, keep: str | None
) -> Floats:
    """The matrix from a view box into a viewport at the origin (8.2, preserveAspectRatio).

    ``keep`` is the attribute's text: ``none`` stretches, ``xMinYMid meet`` and
    its like keep the shape; None is ``xMidYMid meet``.
    """
    words = (keep or "xMidYMid meet").split()
    words = words[1:] if words[:1] == ["defer"] else words
    align = words[0] if words else "xMidYMid"
    sx, sy = width / box[2], height / box[3]
    places = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}
    if align != "none":
        match = re.fullmatch(r"x(Min|Mid|Max)Y(Min|Mid|Max)", align)
        if match is None or words[1:] not in ([], ["meet"], ["slice"]):
            raise CaptureError(f'preserveAspectRatio "{(keep or "")[:40]}" is not understood')
        sx = sy = max(sx, sy) if words[1:] == ["slice"] else min(sx, sy)
        left, top = places[match[1]] * (width - box[2] * sx), places[match[2]] * (height - box[3] * sy)
    else:
        left = top = 0.0
    return np.array([[sx, 0.0, left - box[0] * sx], [0.0, sy, top - box[1] * sy]])
