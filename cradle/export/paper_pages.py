"""Pages at true size: how a drawing that is larger than a page is spread over several, and the foot of each page.

Pages overlap; diamonds in the overlaps show how they lie together. A check
length tells whether the printer kept the size.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from io import BytesIO
from itertools import pairwise
from typing import Any, Final, TypeAlias

import numpy as np

from cradle.files.isolation import pdf_canvas, pdf_letters
from cradle.geometry.arrays import Floats
from cradle.names import wrapped
from cradle.noun import record
from cradle.units import MM_PER

_CHECK_LENGTH_MM: Final = 100.0
OVERLAP_MM: Final = 16.0
"""Wider than a screw's cross, or an arrow with its word: on one of the pages it is whole."""
MARGIN_MM: Final = 12.0
_LINE_MM: Final = 0.2
_FOOT_MM: Final = 44.0
"""Strip at the foot of each page for words and the check length."""
LONGEST_TITLE: Final = 30
"""Letters of a thing's name at the foot of a page: behind it stands which page this is."""
_WORDS_MM: Final = 2.8
_LINE_TALL_MM: Final = 3.8
_JOINS: Final = "Join the sheets first: lay each diamond on its like."

Draw: TypeAlias = Callable[[Any, tuple[float, float]], None]
"""Draws all there is on a canvas, moved by (x, y), mm."""


@record
class Window:
    """The part of a drawing that one page shows: its lower left corner, mm, and its place in the grid."""

    x_mm: float
    y_mm: float
    column: int
    row: int


class Pages:
    """A PDF of pages at exact size, vectors only, the same bytes every time."""

    def __init__(self, *, page_mm: tuple[float, float], title: str) -> None:
        self.page_mm = page_mm
        self._out = BytesIO()
        self.canvas = pdf_canvas(self._out, page_mm=page_mm, title=title)

    def whole(self, draw: Callable[[Any], None], *, foot: Sequence[str]) -> None:
        """One page, and its foot: a title, what to do, and what to take care of."""
        self.canvas.saveState()
        self.canvas.scale(1 / MM_PER["pt"], 1 / MM_PER["pt"])
        draw(self.canvas)
        self._foot(foot)
        self.canvas.restoreState()
        self.canvas.showPage()

    def spread(
        self,
        draw: Draw,
        windows: Sequence[Window],
        *,
        foot: Sequence[str],
        on_each: Callable[[Any], None] | None = None,
    ) -> None:
        """A drawing over as many pages as there are windows on it, and what stands on each of them."""
        title, *words = foot
        for window in windows:
            place = f", row {window.row + 1}, column {window.column + 1}" if len(windows) > 1 else ""
            joins = [_JOINS] if len(windows) > 1 else []
            self.whole(
                partial(self._part, draw, windows, window, on_each), foot=[title + place, *joins, *words]
            )

    def data(self) -> bytes:
        """The file."""
        self.canvas.save()
        return self._out.getvalue()

    def _part(
        self,
        draw: Draw,
        windows: Sequence[Window],
        window: Window,
        on_each: Callable[[Any], None] | None,
        canvas: Any,
    ) -> None:
        canvas.saveState()
        frame = canvas.beginPath()
        frame.rect(MARGIN_MM, MARGIN_MM + _FOOT_MM, *room_mm(self.page_mm).tolist())
        canvas.clipPath(frame, stroke=0, fill=0)
        draw(canvas, (MARGIN_MM - window.x_mm, MARGIN_MM + _FOOT_MM - window.y_mm))
        canvas.restoreState()
        _draw_marks(canvas, windows, window, page_mm=self.page_mm)
        if on_each is not None:
            on_each(canvas)

    def _foot(self, foot: Sequence[str]) -> None:
        """The title, what to do, the check length, and last what to take care of."""
        title, *words, caution = foot
        canvas = self.canvas
        y = MARGIN_MM + _FOOT_MM - 6
        canvas.setFillColor("#24211c")
        canvas.setStrokeColor("#000000")
        canvas.setFont("Helvetica-Bold", 4.0)
        canvas.drawString(MARGIN_MM, y, pdf_letters(title))
        canvas.setFont("Helvetica", _WORDS_MM)

        def fits(line: str) -> bool:
            return bool(canvas.stringWidth(line, "Helvetica", _WORDS_MM) <= room_mm(self.page_mm)[0])

        lines = [line for text in words for line in wrapped(pdf_letters(text), fits=fits)]
        y -= 1.4
        for line in lines:
            y -= _LINE_TALL_MM
            canvas.drawString(MARGIN_MM, y, line)
        low = MARGIN_MM + 6
        canvas.setLineWidth(_LINE_MM)
        canvas.line(MARGIN_MM, low, MARGIN_MM + _CHECK_LENGTH_MM, low)
        for end in (MARGIN_MM, MARGIN_MM + _CHECK_LENGTH_MM):
            canvas.line(end, low - 2, end, low + 2)
        canvas.drawString(
            MARGIN_MM + 3, low + 1.2, f"Print at 100 %: this line must measure {_CHECK_LENGTH_MM:g} mm."
        )
        canvas.drawString(MARGIN_MM, low - 5, pdf_letters(caution))


def draw_outline(canvas: Any, points_mm: Floats) -> None:
    """A closed line, thin and black."""
    canvas.setStrokeColor("#000000")
    canvas.setFillColor("#24211c")
    canvas.setLineWidth(_LINE_MM)
    path = canvas.beginPath()
    path.moveTo(*points_mm[0].tolist())
    for x, y in points_mm[1:].tolist():
        path.lineTo(x, y)
    path.close()
    canvas.drawPath(path, stroke=1, fill=0)


def draw_arrow_up(canvas: Any, *, x: float, tip: float, long: float) -> None:
    """An arrow of a length, mm, that points up to its tip."""
    canvas.line(x, tip, x, tip - long)
    head = canvas.beginPath()
    head.moveTo(x, tip)
    head.lineTo(x - 0.7, tip - 1.8)
    head.lineTo(x + 0.7, tip - 1.8)
    head.close()
    canvas.drawPath(head, stroke=0, fill=1)


def tiled(points_mm: Floats, *, page_mm: tuple[float, float]) -> list[Window]:
    """The windows that cover all points, row by row from the lower left.

    Along a direction that one window covers, it is centred on the drawing; otherwise the first begins at the
    drawing's edge and is full, and the last holds what is left.
    """
    low, high = points_mm.min(axis=0), points_mm.max(axis=0)
    room = room_mm(page_mm)
    need = high - low + 2.0
    step = room - OVERLAP_MM
    counts = np.where(need <= room, 1, np.ceil((need - OVERLAP_MM) / step)).astype(int)
    covered = counts * step + OVERLAP_MM
    corner = np.where(counts == 1, (low + high) / 2 - covered / 2, low - 1.0)
    return [
        Window(
            x_mm=float(corner[0] + column * step[0]),
            y_mm=float(corner[1] + row * step[1]),
            column=column,
            row=row,
        )
        for row in range(int(counts[1]))
        for column in range(int(counts[0]))
    ]


def room_mm(page_mm: tuple[float, float]) -> Floats:
    """Width and height that a page has for drawing, ``(2,)`` mm."""
    return np.array([page_mm[0] - 2 * MARGIN_MM, page_mm[1] - 2 * MARGIN_MM - _FOOT_MM])


def _draw_marks(
    canvas: Any, windows: Sequence[Window], window: Window, *, page_mm: tuple[float, float]
) -> None:
    """Diamonds in the middle of the overlaps, at the same places of the drawing on both pages."""
    if len(windows) == 1:
        return
    room = room_mm(page_mm)
    canvas.setLineWidth(0.15)
    canvas.setDash([])
    columns, rows = max(w.column for w in windows) + 1, max(w.row for w in windows) + 1
    half = OVERLAP_MM / 2
    xs = [half] * (window.column > 0) + [float(room[0]) - half] * (window.column < columns - 1)
    ys = [half] * (window.row > 0) + [float(room[1]) - half] * (window.row < rows - 1)
    spots = [(x, float(y)) for x in xs for y in np.linspace(room[1] / 6, room[1] * 5 / 6, 3)]
    spots += [(float(x), y) for y in ys for x in np.linspace(room[0] / 6, room[0] * 5 / 6, 3)]
    for x, y in spots:
        px, py = MARGIN_MM + x, MARGIN_MM + _FOOT_MM + y
        for a, b in pairwise([(px - 2, py), (px, py - 2), (px + 2, py), (px, py + 2), (px - 2, py)]):
            canvas.line(*a, *b)
    canvas.setDash([1.0, 2.0])
    canvas.setStrokeColor("#5e574d")
    canvas.rect(MARGIN_MM, MARGIN_MM + _FOOT_MM, *room.tolist())
    canvas.setDash([])
