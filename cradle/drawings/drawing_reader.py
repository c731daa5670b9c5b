"""Drawing files and lists of points read, each by the reader of its format.

A new format needs a reader ``(path, *, where, unit) -> Drawing`` and a line in `READERS`.
"""

from __future__ import annotations

import importlib
from collections.abc import Callable
from pathlib import Path
from typing import Final

from cradle.drawings.curves import Drawing
from cradle.errors import CaptureError

READERS: Final[dict[str, tuple[str, str]]] = {
    ".svg": ("cradle.drawings.svg_drawing", "read_svg"),
    ".dxf": ("cradle.drawings.dxf_drawing", "read_dxf"),
    ".csv": ("cradle.drawings.points", "read_points"),
    ".json": ("cradle.drawings.points_json", "read_points_json"),
}
"""File ending: module and reader, imported when first needed."""


def read_drawing(path: Path, *, where: str, unit: str | None) -> Drawing:
    """The curves of a drawing file, in mm.

    Parameters
    ----------
    where : str
        The file's name as the project writes it, for messages.
    unit : str, optional
        What one of the drawing's units is, where the project says so.

    Raises
    ------
    CaptureError
        If the file's ending is not known, or it cannot be read.
    """
    known = READERS.get(path.suffix.lower())
    if known is None:
        raise wrong_ending(path, where=where, known=tuple(READERS))
    module, reader = known
    read: Callable[..., Drawing] = getattr(importlib.import_module(module), reader)
    return read(path, where=where, unit=unit)


def wrong_ending(path: Path, *, where: str, known: tuple[str, ...]) -> CaptureError:
    """The error where a file's ending is none of those known."""
    found = f'the ending "{path.suffix}"' if path.suffix else "a name without an ending"
    return CaptureError(
        f"{found} is not known, {', '.join(known)} are", where=where, hint="save it in one of these formats"
    )
