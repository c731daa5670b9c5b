"""The workshop page's paper: its size and margin, and the letters that can stand on it."""

from __future__ import annotations

from typing import Final

PAGE_MM: Final = (210.0, 297.0)
"""ISO 216 A4."""
MARGIN_MM: Final = 14.0


def printable(text: str) -> str:
    """The text in letters that the page's built-in typeface has."""
    return text.encode("cp1252", errors="replace").decode("cp1252")
