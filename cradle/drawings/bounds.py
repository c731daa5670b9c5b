"""How much one drawing may hold: limits that keep the time and memory of every reader small."""

from __future__ import annotations

from typing import Final

from cradle.errors import CaptureError

_MOST_ELEMENTS: Final = 30_000
"""Most elements or entities drawn; one that is drawn several times counts each time."""
MOST_POINTS: Final = 400_000
"""Most points of all curves together: round an outline 2 m square that is one every 0.02 mm."""
_MOST_CURVED: Final = 20_000
"""Most arcs, Bezier curves and knot spans; each costs some 0.6 ms."""


class Bounds:
    """Counts what is drawn of one drawing."""

    __slots__ = ("_counts",)

    def __init__(self) -> None:
        self._counts = {"elements": 0, "points": 0, "curved pieces": 0}

    def add_elements(self, count: int) -> None:
        """Count elements that are about to be drawn.

        Raises
        ------
        CaptureError
            If they are too many; so for points and curved pieces.
        """
        self._add("elements", count, _MOST_ELEMENTS)

    def add_points(self, count: int) -> None:
        """Count points."""
        self._add("points", count, MOST_POINTS)

    def add_curved(self, count: int) -> None:
        """Count curved pieces."""
        self._add("curved pieces", count, _MOST_CURVED)

    def _add(self, what: str, count: int, most: int) -> None:
        self._counts[what] += count
        if self._counts[what] > most:
            raise CaptureError(f"the drawing has more than {most} {what}", hint="save the outline alone")
