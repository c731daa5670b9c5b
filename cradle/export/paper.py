"""The paper check: outlines at true size on pages to print, cut out and hold against the thing.

Outlines share a page as long as there is room. One that is larger than a page
goes on several that overlap; crosses in the overlaps show how they lie
together. A check length tells whether the printer kept the size.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import Any, Final

import numpy as np

from cradle.export.drawing import NamedRing
from cradle.files.isolation import pdf_canvas, printable
from cradle.geometry.arrays import Floats
from cradle.units import MM_PER, PAPER_MM

CHECK_LENGTH_MM: Final = 100.0
OVERLAP_MM: Final = 10.0
_MARGIN_MM: Final = 12.0
_LINE_MM: Final = 0.2
_FOOT_MM: Final = 26.0
"""Strip at the foot of each page for words and the check length."""
_BETWEEN_MM: Final = 6.0
"""Between outlines on a page."""
_NAME_MM: Final = 3.2
_ARROW_MM: Final = 4.0
_UNDER_MM: Final = 13.0
"""Strip under each outline for the arrow at its front and its name."""
_LETTER_WIDE: Final = 0.62
"""Width of a bold letter in its size, on average and with room to spare."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """The part of a drawing that one page shows: its lower left corner, mm, and its place in the grid."""

    x_mm: float
    y_mm: float
    column: int
    row: int


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Placed:
    """An outline on a page: how far it is moved from its own place, mm."""

    ring: NamedRing
    by_mm: tuple[float, float]


def paper_pdf(rings: Sequence[NamedRing], *, page: str, title: str) -> bytes:
    """A PDF at exact size, vectors only, the same bytes every time.

    Parameters
    ----------
    rings : sequence of NamedRing
        Each is one line to cut along.
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
    room = _room(size)
    small = [ring for ring in rings if (_box_mm(ring)[1] <= room).all()]
    for number, group in enumerate(packed(small, page_mm=size), start=1):
        canvas.saveState()
        canvas.scale(1 / MM_PER["pt"], 1 / MM_PER["pt"])
        for placed in group:
            _draw(canvas, placed.ring, by_mm=placed.by_mm)
        _draw_foot(canvas, f"{title}: paper check, page {number}", page_mm=size)
        canvas.restoreState()
        canvas.showPage()
    for ring in rings:
        low, need = _box_mm(ring)
        if (need <= room).all():
            continue
        windows = tiled(np.array([low, low + need]), page_mm=size)
        for window in windows:
            canvas.saveState()
            canvas.scale(1 / MM_PER["pt"], 1 / MM_PER["pt"])
            _draw_part(canvas, ring, window, page_mm=size)
            _draw_marks(canvas, windows, window, page_mm=size)
            place = f"row {window.row + 1}, column {window.column + 1}"
            _draw_foot(canvas, f"{title}: {_name(ring)}, {place}", page_mm=size)
            canvas.restoreState()
            canvas.showPage()
    canvas.save()
    return out.getvalue()


def packed(rings: Sequence[NamedRing], *, page_mm: tuple[float, float]) -> list[list[Placed]]:
    """Outlines that fit a page, page by page: in rows from the top, as they come, as many in a row as it takes."""
    wide, tall = _room(page_mm).tolist()
    left, top = _MARGIN_MM, page_mm[1] - _MARGIN_MM
    pages: list[list[Placed]] = []
    x = y = row = 0.0
    for ring in rings:
        low, (width, height) = _box_mm(ring)
        if pages and x + width > wide:
            x, y, row = 0.0, y + row + _BETWEEN_MM, 0.0
        if not pages or y + height > tall:
            pages.append([])
            x = y = row = 0.0
        corner = (left + x, top - y - height)
        pages[-1].append(Placed(ring=ring, by_mm=(corner[0] - float(low[0]), corner[1] - float(low[1]))))
        x, row = x + width + _BETWEEN_MM, max(row, height)
    return pages


def _name(ring: NamedRing) -> str:
    return f"{ring.name}, {ring.height_mm:g} mm"


def _box_mm(ring: NamedRing) -> tuple[Floats, Floats]:
    """Lower left corner and size of an outline with its name under it."""
    low, high = ring.points_mm.min(axis=0) - 1.0, ring.points_mm.max(axis=0) + 1.0
    short = max(_LETTER_WIDE * _NAME_MM * len(_name(ring)) - (high[0] - low[0]), 0.0)
    low, high = low - [short / 2, _UNDER_MM], high + [short / 2, 0.0]
    return low, high - low


def _draw(canvas: Any, ring: NamedRing, *, by_mm: tuple[float, float]) -> None:
    """The outline, an arrow at its front, and its name."""
    points = ring.points_mm + np.array(by_mm)
    canvas.setStrokeColor("#000000")
    canvas.setFillColor("#24211c")
    canvas.setLineWidth(_LINE_MM)
    path = canvas.beginPath()
    path.moveTo(*points[0].tolist())
    for x, y in points[1:].tolist():
        path.lineTo(x, y)
    path.close()
    canvas.drawPath(path, stroke=1, fill=0)
    x, y = points[points[:, 1].argmin()].tolist()
    middle = float(points[:, 0].min() + points[:, 0].max()) / 2
    canvas.line(x, y - 1.0, x, y - 1.0 - _ARROW_MM)
    head = canvas.beginPath()
    head.moveTo(x, y - 1.0)
    head.lineTo(x - 0.7, y - 2.8)
    head.lineTo(x + 0.7, y - 2.8)
    head.close()
    canvas.drawPath(head, stroke=0, fill=1)
    canvas.setFont("Helvetica", 2.8)
    canvas.drawString(x + 1.6, y - 1.0 - _ARROW_MM, "front")
    canvas.setFont("Helvetica-Bold", _NAME_MM)
    canvas.drawCentredString(middle, y - _UNDER_MM + 3.0, printable(_name(ring)))


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


def _draw_part(canvas: Any, ring: NamedRing, window: Window, *, page_mm: tuple[float, float]) -> None:
    """What a window shows of an outline that is larger than a page."""
    canvas.saveState()
    frame = canvas.beginPath()
    frame.rect(_MARGIN_MM, _MARGIN_MM + _FOOT_MM, *_room(page_mm).tolist())
    canvas.clipPath(frame, stroke=0, fill=0)
    _draw(canvas, ring, by_mm=(_MARGIN_MM - window.x_mm, _MARGIN_MM + _FOOT_MM - window.y_mm))
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
    canvas.setStrokeColor("#5e574d")
    canvas.rect(_MARGIN_MM, _MARGIN_MM + _FOOT_MM, *room.tolist())
    canvas.setDash([])


def _draw_foot(canvas: Any, title: str, *, page_mm: tuple[float, float]) -> None:
    y = _MARGIN_MM + _FOOT_MM - 6
    canvas.setFillColor("#24211c")
    canvas.setFont("Helvetica-Bold", 4.0)
    canvas.drawString(_MARGIN_MM, y, printable(title))
    canvas.setFont("Helvetica", 2.8)
    canvas.drawString(
        _MARGIN_MM,
        y - 5.2,
        "Cut along the outer edge of the line. Each outline is the thing seen from above, its front at the bottom.",
    )
    low = _MARGIN_MM + 6
    canvas.setLineWidth(_LINE_MM)
    canvas.line(_MARGIN_MM, low, _MARGIN_MM + CHECK_LENGTH_MM, low)
    for end in (_MARGIN_MM, _MARGIN_MM + CHECK_LENGTH_MM):
        canvas.line(end, low - 2, end, low + 2)
    canvas.drawString(
        _MARGIN_MM + 3, low + 1.2, f"Print at 100 %: this line must measure {CHECK_LENGTH_MM:g} mm."
    )
    canvas.drawString(
        _MARGIN_MM, low - 5, "Knives are sharp: cut on a mat, away from your hand; cap the blade when done."
    )
