"""A picture in which rules are looked for: its regular lines, and the marks along each, are found once however often they are asked for.

The same picture is searched again where a sheet of paper turns out to lie under its rule, and finer where nothing was found.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from cradle.pictures.light import between_levels_and_light
from cradle.rulers.ruler_find import MarkLine, regular_lines
from cradle.rulers.ruler_rows import regular_marks

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from cradle.pictures.image import Picture
    from cradle.rulers.ruler_marks import Marks


class MarkedPicture:
    """A picture, ``grey (h, w)`` between its levels and its light, and what was found in it so far."""

    def __init__(self, picture: Picture) -> None:
        self.picture = picture
        self.grey = between_levels_and_light(picture.grey)
        self._lines: dict[int, tuple[MarkLine, ...]] = {}
        self._marks: dict[MarkLine, tuple[tuple[Marks, ...], ...]] = {}

    def lines(self, *, largest_px: int) -> tuple[MarkLine, ...]:
        """`cradle.rulers.ruler_find.regular_lines` of the picture."""
        if largest_px not in self._lines:
            self._lines[largest_px] = regular_lines(self.grey, largest_px=largest_px)
        return self._lines[largest_px]

    def marks(self, lines: Sequence[MarkLine]) -> Iterator[tuple[Marks, ...]]:
        """The marks along each of these lines that has any, as `cradle.rulers.ruler_rows.regular_marks` reads them."""
        for line in lines:
            if line not in self._marks:
                self._marks[line] = tuple(regular_marks(self.grey, [line]))
            yield from self._marks[line]
