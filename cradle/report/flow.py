"""Words on pages of paper, one under the other; what finds no room goes on the next page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, Final, TypeAlias

from cradle.files.isolation import pdf_letters
from cradle.names import in_lines
from cradle.units import MM_PER

MARGIN_MM: Final = 14.0
TEXT_MM: Final = 2.9
"""Size of letters: 8 points."""
SMALL_MM: Final = 2.6
"""Of tables and of the foot of the page: 7 points, the least that is read without effort."""
_HEAD_MM: Final = 3.4
PITCH: Final = 1.32
"""From line to line, in sizes of the letters."""
INK: Final = "#24211c"
FAINT: Final = "#5e574d"
_PLAIN: Final = "Helvetica"
_BOLD: Final = "Helvetica-Bold"
_FONTS: Final = {False: _PLAIN, True: _BOLD}

Run: TypeAlias = tuple[str, bool]
"""Words, and whether they are bold."""


class Flow:
    """Pages being filled from the top; ``y_mm`` is where the next thing goes.

    Parameters
    ----------
    canvas : reportlab canvas
        In points.
    page_mm : (float, float)
    foot : str
        Words at the foot of every page, before its number.
    """

    def __init__(self, canvas: Any, *, page_mm: tuple[float, float], foot: str) -> None:
        self.canvas = canvas
        self.page_mm = page_mm
        self._foot = foot
        self._number = 1
        self._begin()

    @property
    def wide_mm(self) -> float:
        """Between the margins."""
        return self.page_mm[0] - 2 * MARGIN_MM

    @property
    def room_mm(self) -> float:
        """What is left of the page's height."""
        return self.y_mm - MARGIN_MM

    @property
    def whole_mm(self) -> float:
        """Height of an empty page between its margins."""
        return self.page_mm[1] - 2 * MARGIN_MM

    def need(self, tall_mm: float) -> None:
        """Turn the page unless so much of it is left."""
        if self.room_mm < tall_mm:
            self.turn()

    def turn(self) -> None:
        """Go on at the top of the next page."""
        self.end()
        self._number += 1
        self._begin()

    def end(self) -> None:
        """Close the page."""
        self.canvas.setFillColor(FAINT)
        self.canvas.setFont(_PLAIN, SMALL_MM)
        self.canvas.drawString(MARGIN_MM, 8.0, pdf_letters(self._foot))
        self.canvas.drawRightString(self.page_mm[0] - MARGIN_MM, 8.0, f"page {self._number}")
        self.canvas.showPage()

    def heading(self, text: str, *, with_mm: float = 12.0) -> None:
        """A bold line, on the page where at least so much of what follows stands."""
        self.need(2.4 * _HEAD_MM + with_mm)
        self.y_mm -= 2.2 * _HEAD_MM
        self.canvas.setFillColor(INK)
        self.canvas.setFont(_BOLD, _HEAD_MM)
        self.canvas.drawString(MARGIN_MM, self.y_mm, pdf_letters(text))
        self.y_mm -= 0.6 * _HEAD_MM

    def paragraph(self, runs: Sequence[Run], *, head: str = "", indent: float = 0.0) -> None:
        """Wrapped words in letters of one size; a head such as a number stands in the indent before the first line."""
        pitch = PITCH * TEXT_MM
        for number, line in enumerate(
            wrapped_runs(self.canvas, runs, width=self.wide_mm - indent, size=TEXT_MM)
        ):
            self.need(pitch)
            self.y_mm -= pitch
            self.canvas.setFillColor(INK)
            if number == 0 and head:
                self.canvas.setFont(_PLAIN, TEXT_MM)
                self.canvas.drawString(MARGIN_MM, self.y_mm, head)
            draw_runs(self.canvas, line, x=MARGIN_MM + indent, y=self.y_mm, size=TEXT_MM)
        self.y_mm -= 0.25 * pitch

    def _begin(self) -> None:
        self.canvas.scale(1 / MM_PER["pt"], 1 / MM_PER["pt"])
        self.y_mm = self.page_mm[1] - MARGIN_MM


def wrapped_text(canvas: Any, text: str, *, width: float, size: float) -> list[str]:
    """Lines that fit a width in plain letters of a size, at least one."""
    lines = wrapped_runs(canvas, [(text, False)], width=width, size=size)
    return [" ".join(word for word, _ in line) for line in lines] or [""]


def wrapped_runs(canvas: Any, runs: Sequence[Run], *, width: float, size: float) -> list[list[Run]]:
    """Lines of single words that fit a width; a word longer than a line is taken apart."""

    def fits(line: Sequence[Run], _number: int) -> bool:
        words = ((" " * (k > 0) + word, _FONTS[bold]) for k, (word, bold) in enumerate(line))
        return sum(canvas.stringWidth(word, font, size) for word, font in words) <= width

    return in_lines(_words(canvas, runs, width=width, size=size), fits=fits)


def _words(canvas: Any, runs: Sequence[Run], *, width: float, size: float) -> Iterator[Run]:
    for text, bold in runs:
        font = _FONTS[bold]
        for word in pdf_letters(text).split():
            rest = word
            while canvas.stringWidth(rest, font, size) > width and len(rest) > 1:
                most = next(
                    n
                    for n in range(len(rest) - 1, 0, -1)
                    if n == 1 or canvas.stringWidth(rest[:n], font, size) <= width
                )
                yield rest[:most], bold
                rest = rest[most:]
            yield rest, bold


def draw_runs(canvas: Any, line: Sequence[Run], *, x: float, y: float, size: float) -> None:
    """A line of single words."""
    start = 0
    while start < len(line):
        bold = line[start][1]
        end = next((k for k in range(start, len(line)) if line[k][1] != bold), len(line))
        font = _FONTS[bold]
        text = " ".join(word for word, _ in line[start:end]) + " "
        canvas.setFont(font, size)
        canvas.drawString(x, y, text.rstrip() if end == len(line) else text)
        x += canvas.stringWidth(text, font, size)
        start = end
