"""The workshop page's paper, and plan and cuts on it at a usual scale."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from cradle.drawing.dimension_lines import drawn_dimension
from cradle.drawing.sheet import Sheet, Stroke, View
from cradle.geometry.arrays import Floats
from cradle.units import PAPER_MM

PAGE_MM: Final = PAPER_MM["A4"]
MARGIN_MM: Final = 14.0
_SCALES: Final = (5.0, 2.0, 1.0, 0.5, 0.2, 0.1, 0.05, 0.02)
"""ISO 5455 (from memory): enlarged, full size, reduced."""
_COLUMN: Final = 84.0
_WIDTHS: Final = {Stroke.CUT: 0.4, Stroke.EDGE: 0.2, Stroke.WIDEST: 0.13, Stroke.CENTRE: 0.13}


def printable(text: str) -> str:
    """The text in letters that the page's built-in typeface has."""
    return text.encode("cp1252", errors="replace").decode("cp1252")


def stacked_scale(views: Sequence[View], *, room_mm: float) -> float:
    """The largest usual scale at which the views fit under one another in the right column."""
    boxes = [view.extent_mm() for view in views]
    wide = max(b[2] - b[0] for b in boxes)
    tall = sum(b[3] - b[1] for b in boxes)
    room = room_mm - 8 - 6 * len(boxes)
    return next((s for s in _SCALES if s * wide <= _COLUMN - 4 and s * tall <= room), _SCALES[-1])


def stacked(canvas: Any, views: Sequence[View], *, scale: float, top: float) -> None:
    """Plan and cuts under one another in the right column."""
    x = PAGE_MM[0] - MARGIN_MM - _COLUMN
    y = _drawing_title(canvas, scale=scale, x=x, y=top - 4)
    for view in views:
        box = view.extent_mm()
        y -= scale * (box[3] - box[1])
        _view(canvas, view, scale=scale, at=(x - scale * box[0] + 2, y - scale * box[1]))
        y -= 6


def sheet_scale(sheet: Sheet, *, room_mm: float) -> float:
    """The largest usual scale at which a sheet fits across the page."""
    wide, tall = sheet.size_mm
    room = (PAGE_MM[0] - 2 * MARGIN_MM, room_mm - 14)
    return next((s for s in _SCALES if s * wide <= room[0] and s * tall <= room[1]), _SCALES[-1])


def side_by_side(canvas: Any, sheet: Sheet, *, scale: float, top: float) -> None:
    """Plan and cuts of a wide holder across the page, in line with each other."""
    y = _drawing_title(canvas, scale=scale, x=MARGIN_MM, y=top - 4) - scale * sheet.size_mm[1]
    for view in sheet.views:
        _view(canvas, view, scale=scale, at=(MARGIN_MM, y))


def _drawing_title(canvas: Any, *, scale: float, x: float, y: float) -> float:
    canvas.setFont("Helvetica-Bold", 3.4)
    ratio = f"{scale:g}:1" if scale >= 1 else f"1:{1 / scale:g}"
    canvas.drawString(x, y, f"Plan and cuts, scale {ratio}")
    return y - 4


def _view(canvas: Any, view: View, *, scale: float, at: tuple[float, float]) -> None:
    def place(point: Sequence[float]) -> tuple[float, float]:
        return at[0] + scale * point[0], at[1] + scale * point[1]

    if view.material:
        canvas.setFillColor("#e9d8bd")
        path = canvas.beginPath()
        for ring in view.material:
            _trace(path, ring, place, closed=True)
        canvas.drawPath(path, stroke=0, fill=1, fillMode=0)
    canvas.setStrokeColor("#24211c")
    for line in view.lines:
        canvas.setLineWidth(_WIDTHS[line.stroke])
        canvas.setDash([4, 0.8, 0.7, 0.8] if line.stroke is Stroke.CENTRE else [])
        path = canvas.beginPath()
        _trace(path, line.points_mm, place, closed=line.closed)
        canvas.drawPath(path, stroke=1, fill=0)
    canvas.setDash([])
    canvas.setFillColor("#24211c")
    for dimension in view.dimensions:
        drawn = drawn_dimension(dimension)
        canvas.setLineWidth(0.1)
        for start, end in drawn.strokes:
            canvas.line(*place(start), *place(end))
        for arrow in drawn.arrows:
            path = canvas.beginPath()
            path.moveTo(*place(arrow[0]))
            for corner in arrow[1:]:
                path.lineTo(*place(corner))
            path.close()
            canvas.drawPath(path, stroke=0, fill=1)
        canvas.saveState()
        canvas.translate(*place(drawn.text_at))
        canvas.rotate(90 if drawn.upright else 0)
        canvas.setFont("Helvetica", min(2.3, max(1.2, 4.6 * scale)))
        canvas.drawCentredString(0, 0, drawn.text)
        canvas.restoreState()
    canvas.setFont("Helvetica", 2.7)
    for note in view.notes:
        canvas.drawString(*place(note.at_mm), printable(note.text))


def _trace(path: Any, points: Floats, place: Any, *, closed: bool) -> None:
    every = points.tolist()
    path.moveTo(*place(every[0]))
    for point in every[1:]:
        path.lineTo(*place(point))
    if closed:
        path.close()
