"""Drawing files opened: how large they may be, and what is said of one that cannot be read."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Final

from cradle.errors import CaptureError
from cradle.files.reading import UTF_16, FileKind, read_file, text_of
from cradle.names import printable

_DRAWING: Final = FileKind(
    most_bytes=32_000_000,
    missing="paths start at the project file's folder",
    large="save the outline alone, without pictures",
    error=CaptureError,
)
"""No drawing is larger: beyond it a slip is likelier than an outline."""

_POINTS: Final = FileKind(
    most_bytes=16_000_000,
    missing=_DRAWING.missing,
    large="save the outline alone, with fewer points",
    not_text="save the points as plain UTF-8 text",
    marks=UTF_16,
    error=CaptureError,
)
"""Some 400,000 points in text."""
TABLE: Final = replace(_POINTS, otherwise=("cp1252",))
"""Spreadsheets in Europe write the headings of a CSV file in Windows-1252 (common practice, no source)."""
_SHOWN: Final = 20
"""Characters shown of what is not understood."""


def drawing_bytes(path: Path, *, where: str, kind: FileKind = _DRAWING) -> bytes:
    """The content of a drawing.

    Raises
    ------
    CaptureError
        If it cannot be read, or is empty.
    """
    data = read_file(path, where=where, kind=kind)
    if not data.strip():
        raise CaptureError("the file is empty", where=where, hint="save the drawing again")
    return data


def not_understood(rest: str) -> str:
    """The words of an error where a file's text is not understood, ``rest`` being what is left of it from there on.

    Examples
    --------
    >>> not_understood("1 0]]"), not_understood(" ")
    ('"1 0]]" is not understood here', 'the file ends too soon')
    """
    if not rest.strip():
        return "the file ends too soon"
    line = rest.strip().splitlines()[0][:_SHOWN]
    return f'"{printable(line)}" is not understood here'


def points_text(path: Path, *, where: str, kind: FileKind = _POINTS) -> str:
    """The text of a list of points.

    Raises
    ------
    CaptureError
        If it cannot be read, is empty or no text.
    """
    return text_of(drawing_bytes(path, where=where, kind=kind), where=where, kind=kind)
