"""The paper check: outlines at true size on pages to print, cut out and hold against the thing.

Each height has its own page, or several that overlap when it is larger than
one; crosses in the overlaps show how the pages lie together. A check length
tells whether the printer kept the size.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from itertools import groupby
from typing import Any, Final

import numpy as np

from cradle.export.drawing import NamedRing
from cradle.files.isolation import pdf_canvas
from cradle.geometry.arrays import Floats
from cradle.units import MM_PER, PAPER_MM

CHECK_LENGTH_MM: Final = 100.0
OVERLAP_MM: Final = 10.0
_MARGIN_MM: Final = 12.0
_FOOT_MM: Final = 26.0
"""Strip at the foot of each page for words and the check length."""
_DASHES: Final = ((), (3.0, 1.0), (1.0, 1.0), (4.0, 1.0, 1.0, 1.0), (6.0, 2.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """The part of a drawing that one page shows: its lower left corner, mm, and its place in the grid."""

    x_mm: float
    y_mm: float
    column: int
    row: int


def paper_pdf(rings: Sequence[NamedRing], *, page: str, title: str) -> bytes:
    """A PDF at exact size, vectors only, the same bytes every time.

    Parameters
    ----------
    rings : sequence of NamedRing
        Rings of the same height share a page; the first of them is drawn solid
        and is the line to cut along.
    page : str
        A key of `cradle.units.PAPER_MM`.
    title : str
        The thing's name.
    """
    size = PAPER_MM[page]
    out = BytesIO()
    canvas = pdf_canvas(out, size_pt=(size[0] / MM_PER["pt"], size[1] / MM_PER["pt"]))
    canvas.setTitle(f"{title}: paper check")
    canvas.setAuthor("cradle")
    canvas.setViewerPreference("PrintScaling", "None")
    for _, group in groupby(rings, key=lambda ring: ring.height_mm):
        alike = list(group)
        windows = tiled(np.concatenate([ring.points_mm for ring in alike]), page_mm=size)
        for window in windows:
            canvas.saveState()
            canvas.scale(1 / MM_PER["pt"], 1 / MM_PER["pt"])
            _draw_rings(canvas, alike, window, page_mm=size)
            _draw_marks(canvas, windows, window, page_mm=size)
            _draw_foot(canvas, alike, window, pages=len(windows), title=title, page_mm=size)
            canvas.restoreState()
            canvas.showPage()
    canvas.save()
    return out.getvalue()


def tiled(points_mm: Floats, *, page_mm: tuple[float, float]) -> list[Window]:
    """The windows that cover all points, row by row from the lower left; one, centred, if that is enough."""
    low, high = points_mm.min(axis=0), points_mm.max(axis=0)
    room = _room(page_mm)
    need = high - low + 2.0
    step = room - OVERLAP_MM
    counts = np.where(need <= room, 1, np.ceil((need - OVERLAP_MM) / step)).astype(int)
    covered = counts * step + OVERLAP_MM
    corner = (low + high) / 2 - covered / 2
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


def _room(page_mm: tuple[float, float]) -> Floats:
    return np.array([page_mm[0] - 2 * _MARGIN_MM, page_mm[1] - 2 * _MARGIN_MM - _FOOT_MM])


def _draw_rings(
    canvas: Any, rings: Sequence[NamedRing], window: Window, *, page_mm: tuple[float, float]
) -> None:
    room = _room(page_mm)
    canvas.saveState()
    frame = canvas.beginPath()
    frame.rect(_MARGIN_MM, _MARGIN_MM + _FOOT_MM, *room.tolist())
    canvas.clipPath(frame, stroke=0, fill=0)
    canvas.translate(_MARGIN_MM - window.x_mm, _MARGIN_MM + _FOOT_MM - window.y_mm)
    for number, ring in enumerate(rings):
        canvas.setLineWidth(0.25 if number == 0 else 0.15)
        canvas.setDash(list(_DASHES[number % len(_DASHES)]))
        path = canvas.beginPath()
        path.moveTo(*ring.points_mm[0].tolist())
        for x, y in ring.points_mm[1:].tolist():
            path.lineTo(x, y)
        path.close()
        canvas.drawPath(path, stroke=1, fill=0)
    canvas.restoreState()


def _draw_marks(
    canvas: Any, windows: Sequence[Window], window: Window, *, page_mm: tuple[float, float]
) -> None:
    """Crosses in the middle of the overlaps, at the same places of the drawing on both pages."""
    if len(windows) == 1:
        return
    room = _room(page_mm)
    canvas.setLineWidth(0.15)
    canvas.setDash([])
    columns, rows = max(w.column for w in windows) + 1, max(w.row for w in windows) + 1
    half = OVERLAP_MM / 2
    xs = [half] * (window.column > 0) + [float(room[0]) - half] * (window.column < columns - 1)
    ys = [half] * (window.row > 0) + [float(room[1]) - half] * (window.row < rows - 1)
    spots = [(x, float(y)) for x in xs for y in np.linspace(room[1] / 6, room[1] * 5 / 6, 3)]
    spots += [(float(x), y) for y in ys for x in np.linspace(room[0] / 6, room[0] * 5 / 6, 3)]
    for x, y in spots:
        px, py = _MARGIN_MM + x, _MARGIN_MM + _FOOT_MM + y
        canvas.line(px - 3, py, px + 3, py)
        canvas.line(px, py - 3, px, py + 3)
    canvas.setDash([1.0, 2.0])
    canvas.rect(_MARGIN_MM, _MARGIN_MM + _FOOT_MM, *room.tolist())
    canvas.setDash([])


def _draw_foot(
    canvas: Any,
    rings: Sequence[NamedRing],
    window: Window,
    *,
    pages: int,
    title: str,
    page_mm: tuple[float, float],
) -> None:
    first = rings[0]
    place = f", page row {window.row + 1}, column {window.column + 1}" if pages > 1 else ""
    y = _MARGIN_MM + _FOOT_MM - 6
    canvas.setFont("Helvetica-Bold", 4.0)
    canvas.drawString(_MARGIN_MM, y, f"{title}: section {first.name} at {first.height_mm:g} mm{place}")
    canvas.setFont("Helvetica", 2.8)
    canvas.setLineWidth(0.2)
    x = _MARGIN_MM
    for number, ring in enumerate(rings):
        canvas.setDash(list(_DASHES[number % len(_DASHES)]))
        canvas.line(x, y - 4.2, x + 8, y - 4.2)
        label = "cut along this line" if number == 0 else ring.name.removeprefix(first.name).strip()
        canvas.drawString(x + 9, y - 5.2, label)
        x += 11 + canvas.stringWidth(label, "Helvetica", 2.8) + 3
    canvas.setDash([])
    low = _MARGIN_MM + 6
    canvas.line(_MARGIN_MM, low, _MARGIN_MM + CHECK_LENGTH_MM, low)
    for end in (_MARGIN_MM, _MARGIN_MM + CHECK_LENGTH_MM):
        canvas.line(end, low - 2, end, low + 2)
    canvas.drawString(
        _MARGIN_MM + 3,
        low + 1.2,
        f"print at 100 %: this line must measure {CHECK_LENGTH_MM:.1f} mm between the end strokes",
    )
    canvas.drawString(
        _MARGIN_MM, low - 5, "Knives are sharp: cut on a mat, away from your hand; cap the blade when done."
    )
    canvas.drawRightString(
        page_mm[0] - _MARGIN_MM, low, "x to the right, y up the page: the thing seen from above"
    )
