"""Points from JSON: a list of them, or ``{"unit": "mm", "closed": true, "points": [...]}``.

All points of a file are of one form: ``[x, y]`` or ``{"x": 1, "y": 2}``, or with a third number, z, that is the same for all.
"""

from __future__ import annotations

import difflib
import json
import math
from pathlib import Path
from typing import Any, Final

import numpy as np

from cradle.drawings.curves import Drawing, Ends
from cradle.drawings.drawing_file import not_understood, points_text
from cradle.drawings.file_unit import unit_factor
from cradle.drawings.point_list import check_count, curve_of_points, in_level
from cradle.errors import CaptureError
from cradle.geometry.arrays import Floats
from cradle.names import printable

_KEYS = ("unit", "closed", "points")
_FORMS: Final[dict[tuple[type, tuple[Any, ...]], str]] = {
    (list, (0, 1)): "a pair of numbers",
    (list, (0, 1, 2)): "three numbers",
    (dict, ("x", "y")): "x and y",
    (dict, ("x", "y", "z")): "x, y and z",
}
"""The forms that a point may have, in words: its type, and the keys or places at which its numbers stand."""
_WRITE = 'write [x, y] or {"x": 1, "y": 2}'


def read_points_json(path: Path, *, where: str, unit: str | None = None) -> Drawing:
    """The points of a JSON file as one curve, x and y in mm.

    Raises
    ------
    CaptureError
        With the line or the entry that cannot be read.
    """
    content = _content(points_text(path, where=where), where=where)
    stated: str | None = None
    ends = Ends.UNSAID
    if isinstance(content, dict):
        stated, ends = _stated(content, where=where)
        content = content.get("points")
    if not isinstance(content, list):
        raise CaptureError("expected a list of points", where=where, hint="write [[x, y], ...]")
    if not content:
        raise CaptureError("the list of points is empty", where=where, hint="write [[x, y], ...]")
    check_count(len(content), where=where)
    points = in_level(
        _points(content, where=where),
        place=lambda row: f"points[{row}]",
        where=where,
        hint="write x and y alone, as seen from above",
    )
    factor, findings = unit_factor(stated, given=unit, where=where)
    return Drawing(curves=(curve_of_points(points * factor, ends=ends, where=where),), findings=findings)


def _content(text: str, *, where: str) -> Any:
    """What the text says, whatever it is."""
    try:
        return json.loads(text)
    except json.JSONDecodeError as error:
        raise CaptureError(
            f"line {error.lineno}, column {error.colno}: {not_understood(text[error.pos :])}",
            where=where,
            hint="this is not JSON",
        ) from error
    except (RecursionError, ValueError) as error:  # ValueError: an integer with thousands of digits
        raise CaptureError(
            "brackets too deep or a number too long", where=where, hint="write [[x, y], ...]"
        ) from error


def _stated(content: dict[str, Any], *, where: str) -> tuple[str | None, Ends]:
    """The unit, and whether the points close, as the file says beside its points."""
    for key in content:
        if key not in _KEYS:
            near = difflib.get_close_matches(key, _KEYS, n=1)
            raise CaptureError(
                f'the key "{key[:30]}" is not known',
                where=where,
                hint=f'did you mean "{near[0]}"?' if near else f"known are {', '.join(_KEYS)}",
            )
    unit = content.get("unit")
    if unit is not None and not isinstance(unit, str):
        raise CaptureError("expected text", where=f"{where}: unit", hint='write "mm", "cm" or "in"')
    if "closed" not in content:
        return unit, Ends.UNSAID
    if not isinstance(content["closed"], bool):
        raise CaptureError(
            "expected true or false",
            where=f"{where}: closed",
            hint="leave it out, or write true of a whole outline",
        )
    return unit, Ends.CLOSED if content["closed"] else Ends.OPEN


def _points(content: list[Any], *, where: str) -> Floats:
    """The numbers of all points, ``(n, 2)`` or ``(n, 3)``."""
    first = _form(content[0])
    if first not in _FORMS:
        raise CaptureError(
            f"expected a pair of numbers or x and y, not {_shown(content[0])}",
            where=f"{where}: points[0]",
            hint=_WRITE,
        )
    rows = []
    for i, entry in enumerate(content):
        if _form(entry) != first:
            raise CaptureError(
                f"expected {_FORMS[first]} as in points[0], not {_shown(entry)}",
                where=f"{where}: points[{i}]",
                hint="write all points in one form",
            )
        rows.append([_number(entry[key], where=f"{where}: points[{i}]") for key in first[1]])
    return np.array(rows)


def _form(entry: Any) -> tuple[type, tuple[Any, ...]]:
    """The form of an entry: its type, and the keys or places at which its numbers stand."""
    if isinstance(entry, dict):
        return dict, tuple(sorted(entry))
    return type(entry), tuple(range(len(entry))) if isinstance(entry, list) else ()


def _number(value: Any, *, where: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not _is_finite(value):
        raise CaptureError(
            f"expected a finite number, not {_shown(value)}",
            where=where,
            hint="write numbers such as [12.5, -3]",
        )
    return float(value)


def _shown(value: Any) -> str:
    """What was found, in words."""
    if isinstance(value, list):
        return f"a list of {len(value)}"
    if isinstance(value, dict):
        return f"an object with {printable(', '.join(value)[:30]) or 'nothing'}"
    return printable(str(value)[:30])


def _is_finite(value: float) -> bool:
    try:
        return math.isfinite(value)
    except OverflowError:  # an integer beyond the largest float
        return False
