"""Points from JSON: a list of pairs, or ``{"unit": "mm", "closed": true, "points": [...]}``."""

from __future__ import annotations

import difflib
import json
import math
from pathlib import Path
from typing import Any

import numpy as np

from cradle.drawings.curves import Drawing, Ends
from cradle.drawings.drawing_file import not_understood, points_text
from cradle.drawings.file_unit import unit_factor
from cradle.drawings.points import check_count, curve_of_points
from cradle.errors import CaptureError

_KEYS = ("unit", "closed", "points")


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
    points = np.array([_pair(entry, where=f"{where}: points[{i}]") for i, entry in enumerate(content)])
    factor, findings = unit_factor(stated, given=unit, where=where)
    return Drawing(
        curves=(curve_of_points(points * factor, ends=ends, where=where),),
        findings=findings,
    )


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


def _pair(entry: Any, *, where: str) -> tuple[float, float]:
    if not isinstance(entry, list) or len(entry) != 2:
        raise CaptureError("expected a pair of numbers", where=where, hint="write [x, y]")
    for value in entry:
        if isinstance(value, bool) or not isinstance(value, int | float) or not _is_finite(value):
            raise CaptureError(
                f"expected a finite number, not {str(value)[:30]}",
                where=where,
                hint="write [x, y] such as [12.5, -3]",
            )
    return float(entry[0]), float(entry[1])


def _is_finite(value: float) -> bool:
    try:
        return math.isfinite(value)
    except OverflowError:  # an integer beyond the largest float
        return False
