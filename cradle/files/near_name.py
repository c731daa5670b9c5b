"""What a file is called that was likely meant by a name that is not there."""

from __future__ import annotations

import os
from difflib import get_close_matches
from pathlib import Path, PurePath
from typing import Final

_MOST: Final = 2000
"""Of a folder with more files none is thought of."""
_ALIKE: Final = 0.75
"""Names less alike than this, by their letters, are others (our own choice)."""


def near_name(path: Path) -> str:
    """The name in a file's folder that is most like its own; empty where none is.

    Names that differ in their figures are others: of ``s1`` and ``s2`` neither is a slip for the other.
    """
    try:
        there = sorted(os.listdir(path.parent))
    except (OSError, ValueError):
        return ""
    if len(there) > _MOST:
        return ""
    stem, figures = path.stem.casefold(), _figures(path.stem)
    alike: dict[str, str] = {}
    for name in reversed(there):
        if name.isprintable() and PurePath(name).suffix and _figures(PurePath(name).stem) == figures:
            alike[PurePath(name).stem.casefold()] = name
    for name in there:  # of several with this stem the one of the same kind
        if name.casefold() == path.name.casefold():
            alike[stem] = name
    near = get_close_matches(stem[:80], alike, n=1, cutoff=_ALIKE)
    return alike[near[0]] if near and os.path.isfile(path.parent / alike[near[0]]) else ""


def _figures(text: str) -> str:
    return "".join(letter for letter in text if letter.isdigit())
