"""Plan and cuts on the workshop page at a usual scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from cradle.drawing.drawn import DrawnView, drawn
from cradle.drawing.layout import SCALES, Sheet, lay_out, scale_words
from cradle.drawing.sheet import Stroke, View
from cradle.files.isolation import printable
from cradle.geometry.arrays import Floats

MARGIN_MM: Final = 14.0
COLUMN_MM: Final = 87.0
"""Width of the column beside the readings."""
_BETWEEN_MM: Final = 3.0
_TITLE_MM: Final = 8.0
_CAPITAL: Final = 0.718
"""Height of a capital of the page's typeface in its size (Adobe's font metrics of Helvetica: CapHeight 718)."""
_WIDTHS: Final = {
    Stroke.CUT: 0.4,
    Stroke.EDGE: 0.2,
    Stroke.WIDEST: 0.13,
    Stroke.PLANE: 0.13,
    Stroke.PLANE_END: 0.5,
}
_CHAIN_MM: Final = (4.0, 0.8, 0.7, 0.8)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Stack:
    """Plan and cuts under one another at a usual scale."""

    scale: float
    views: tuple[DrawnView, ...]


def stacked_views(
    views: Sequence[View], *, room_mm: tuple[float, float], least: float = SCALES[-1]
) -> Stack | None:
    """The views under one another at the largest usual scale at which they fit; None where not even the least does."""
    for scale in (s for s in SCALES if s >= least):
        shown = tuple(drawn(view, scale=scale) for view in views)
        boxes = [view.box() for view in shown]
        wide = max(b[2] for b in boxes) - min(b[0] for b in boxes)
        tall = sum(y1 - y0 for _, y0, _, y1 in boxes) + _BETWEEN_MM * (len(boxes) - 1)
        if wide <= room_mm[0] and tall <= room_mm[1] - _TITLE_MM:
            return Stack(scale=scale, views=shown)
    return None


def draw_stacked(canvas: Any, stack: Stack, *, x: float, top: float) -> None:
    """Plan and cuts under one another, places across the plan and the cut from the front in line."""
    left = min(view.box()[0] for view in stack.views)
    y = _drawing_title(canvas, scale=stack.scale, x=x, y=top - 4)
    for view in stack.views:
        _, y0, _, y1 = view.box()
        y -= y1 - y0
        _view(canvas, view.placed(by=(x - left, y - y0)))
        y -= _BETWEEN_MM


def sheet_that_fits(views: Sequence[View], *, room_mm: tuple[float, float]) -> Sheet | None:
    """Plan and cuts on a sheet at the largest usual scale at which it fits; None where none does."""
    for scale in SCALES:
        sheet = lay_out(views, scale=scale)
        if sheet.size_mm[0] <= room_mm[0] and sheet.size_mm[1] <= room_mm[1] - _TITLE_MM:
            return sheet
    return None


def draw_sheet(canvas: Any, sheet: Sheet, *, top: float) -> None:
    """Plan and cuts across the page, in line with each other."""
    y = _drawing_title(canvas, scale=sheet.scale, x=MARGIN_MM, y=top - 4) - sheet.size_mm[1]
    for view in sheet.views:
        _view(canvas, view.placed(by=(MARGIN_MM, y)))


def _drawing_title(canvas: Any, *, scale: float, x: float, y: float) -> float:
    canvas.setFont("Helvetica-Bold", 3.4)
    canvas.drawString(x, y, f"Plan and cuts, scale {scale_words(scale)}")
    return y - 4


def _view(canvas: Any, view: DrawnView) -> None:
    if view.material:
        canvas.setFillColor("#e9d8bd")
        path = canvas.beginPath()
        for ring in view.material:
            _trace(path, ring, closed=True)
        canvas.drawPath(path, stroke=0, fill=1, fillMode=0)
    canvas.setStrokeColor("#24211c")
    for line in view.lines:
        canvas.setLineWidth(_WIDTHS[line.stroke])
        canvas.setDash(list(_CHAIN_MM) if line.stroke is Stroke.PLANE else [])
        path = canvas.beginPath()
        _trace(path, line.points_mm, closed=line.closed)
        canvas.drawPath(path, stroke=1, fill=0)
    canvas.setDash([])
    canvas.setFillColor("#24211c")
    canvas.setLineWidth(0.1)
    for _, segments in view.strokes:
        for start, end in segments:
            canvas.line(*start, *end)
    for arrow in view.arrows:
        path = canvas.beginPath()
        _trace(path, np.array(arrow), closed=True)
        canvas.drawPath(path, stroke=0, fill=1)
    for label in view.labels:
        size = label.height_mm / _CAPITAL
        text = printable(label.text)
        canvas.saveState()
        canvas.translate(*label.at)
        canvas.rotate(90 if label.upright else 0)
        canvas.setFont("Helvetica", size)
        canvas.drawString(-label.anchor * canvas.stringWidth(text, "Helvetica", size), 0, text)
        canvas.restoreState()


def _trace(path: Any, points: Floats, *, closed: bool) -> None:
    every = points.tolist()
    path.moveTo(*every[0])
    for point in every[1:]:
        path.lineTo(*point)
    if closed:
        path.close()
