"""Whether a file is still the one that was read."""

from __future__ import annotations

from pathlib import Path
from typing import TypeAlias

from cradle.files.reading import on_disk

Stamp: TypeAlias = tuple[str, int, int]
"""A file's path, the time of its last change in ns, and its size; of one that is not there both are -1."""


def stamp_of(file: Path) -> Stamp:
    """The stamp of a file as it is now."""
    try:
        state = on_disk(file).stat()
    except (OSError, ValueError):
        return (str(file), -1, -1)
    return (str(file), state.st_mtime_ns, state.st_size)
