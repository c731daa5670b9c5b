"""From what was typed into a field to what a project file says, and from there to what a window is told.

What has a unit of its own ("1 3/8 in") goes into the file as it was typed;
a plain number as a number, with a decimal comma too.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

from cradle.errors import InputError
from cradle.page.fields import FieldKind, field_at
from cradle.project.toml_positions import KeyPath

_NUMBER: Final = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?")
_LENGTH: Final = re.compile(rf"{_NUMBER.pattern}(?: ?\d*/\d+)?(?: ?[a-zµ°\"]+)?")
_INSIDE: Final = re.compile(r"\s+(?=[a-zµ°\"])|(?<=\d)\s+(?=\d+/\d)")
"""Blanks inside one length: before its unit and its fraction."""
_HELD: Final = "\0"
_BETWEEN: Final = re.compile(r"[,;\s]+")
_APART: Final = re.compile(r"[;\s]+")
_COMMA: Final = re.compile(
    r"^(?![+-]?[1-9]\d*,\d{3}\s*(?:mm|[uµ]m|p[txc]|g|°|deg)?$)([+-]?\d*),(\d+)(?=\s*[a-zµ\"°]*$)"
)
"""A comma that can be nothing but the decimal point; 1,234 may be thousands, where there can be so many: not of inches."""


def value_of(path: KeyPath, typed: object) -> object:
    """What a file says for what was typed into the field at a path; None takes the key out.

    Parameters
    ----------
    path : KeyPath
        Such as ``("section", 0, "height")``.
    typed : object
        A text, or a list of texts where several may be chosen, or true or false.

    Raises
    ------
    InputError
        If there is no such field, or it is not filled in with one of these.

    Examples
    --------
    >>> value_of(("block", "wall"), "2.4"), value_of(("block", "wall"), "1/8 in"), value_of(("block", "wall"), " ")
    (2.4, '1/8 in', None)
    >>> value_of(("block", "wall"), "2,4")
    2.4
    """
    field = field_at(path)
    if isinstance(typed, bool):
        return typed
    if isinstance(typed, list) and field.kind in (FieldKind.CHOICES, FieldKind.FILES):
        return [str(word) for word in typed]
    if not isinstance(typed, str):
        raise InputError("expected a text", where=".".join(map(str, path)))
    text = typed.strip()
    if not text:
        return None
    match field.kind:
        case FieldKind.NUMBER:
            return _number_or_text(_with_point(text))
        case FieldKind.NUMBERS:
            return text if text in field.words else _numbers(text)
        case FieldKind.YES_NO:
            return text == "true"
        case FieldKind.FILES:
            return [
                part.strip() for part in re.split(r"[;\n]" if ";" in text else r"[,\n]", text) if part.strip()
            ]
        case FieldKind.CHOICES:
            return [part for part in _BETWEEN.split(text) if part]
    return text


def _numbers(text: str) -> list[object]:
    """Numbers, or texts with a unit, parted by blanks or semicolons, or by commas where those make no numbers."""
    inside = _INSIDE.sub(_HELD, text.strip("[]() "))
    parts = [_with_point(part.replace(_HELD, " ")) for part in _APART.split(inside)]
    if len(parts) == 1 or not all(map(_LENGTH.fullmatch, parts)):
        parts = [part.replace(_HELD, " ") for part in _BETWEEN.split(inside) if part]
    return [_number_or_text(part) for part in parts]


def _with_point(text: str) -> str:
    """The text with a point for its decimal comma."""
    return _COMMA.sub(r"\1.\2", text)


def _number_or_text(text: str) -> object:
    if not _NUMBER.fullmatch(text):
        return text
    number = float(text)
    whole = number.is_integer() and abs(number) < 1e15 and "e" not in text.lower()
    return int(number) if whole else number


def shown_values(data: Mapping[str, object]) -> Mapping[str, object]:
    """A project's data as JSON takes them: dates as texts."""
    return {name: _shown(value) for name, value in data.items()}


def _shown(value: object) -> object:
    if isinstance(value, Mapping):
        return shown_values(value)
    if isinstance(value, list):
        return [_shown(one) for one in value]
    return value if isinstance(value, str | int | float | bool) else str(value)
