"""Plan and cuts on the workshop pages at a usual scale."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

import numpy as np

from cradle.drawing.drawn import DrawnView, drawn_view
from cradle.drawing.layout import SCALES, scale_words
from cradle.drawing.view import SeenFrom, Stroke, View
from cradle.files.isolation import pdf_letters
from cradle.geometry.arrays import Floats
from cradle.noun import noun
from cradle.report.flow import MARGIN_MM, Flow

_BETWEEN_MM: Final = 6.0
_UNDER_WORDS_MM: Final = 3.0
_TITLE_MM: Final = 18.0
"""Height of the heading over the drawings with the words under it."""
_LEAST_BELOW: Final = 0.5
"""Smaller drawings begin a page of their own rather than stand under the readings."""
_MOST_PAGES: Final = 2
"""Drawings may go over so many pages rather than be drawn smaller."""
SIZES_WORDS: Final = (
    "Pocket sizes are the largest at their height; the thin lines show where, before or behind the cut."
)
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


@noun
class ViewRow:
    """Views beside one another, their bases in line, and how far each is moved to the right, mm."""

    views: tuple[DrawnView, ...]
    rights_mm: tuple[float, ...]

    @property
    def high_mm(self) -> float:
        """How far the views reach above their bases."""
        return max(view.box()[3] for view in self.views)

    @property
    def tall_mm(self) -> float:
        """Height that they take."""
        return self.high_mm - min(view.box()[1] for view in self.views)


@noun
class Layout:
    """Plan and cuts at a usual scale, in rows, page by page."""

    scale: float
    pages: tuple[tuple[ViewRow, ...], ...]


def draw_views(flow: Flow, views: Sequence[View]) -> None:
    """Plan and every cut: under what stands on the page if that leaves room, else on pages of their own."""
    room = (flow.wide_mm, flow.room_mm - _TITLE_MM)
    layout = laid_in_rows(views, room_mm=room, scales=[s for s in SCALES if s >= _LEAST_BELOW], most_pages=1)
    if layout is None:
        flow.turn()
        room = (flow.wide_mm, flow.whole_mm - _TITLE_MM)
        tries = ((SCALES, _MOST_PAGES), (SCALES, len(views)))
        found = (laid_in_rows(views, room_mm=room, scales=s, most_pages=m) for s, m in tries)
        layout = next((one for one in found if one is not None), None)
    if layout is None:
        flow.paragraph(
            [
                (
                    "Plan and cuts are too large for a page at any usual scale: see the drawing\u2019s own file.",
                    False,
                )
            ]
        )
        return
    for number, rows in enumerate(layout.pages):
        if number:
            flow.turn()
        flow.heading(f"Plan and cuts, scale {scale_words(layout.scale)}", with_mm=0.0)
        missing = sum(view.left_out for row in rows for view in row.views)
        more = f" Sizes without room here: {missing}; the table has them." if missing else ""
        flow.paragraph([(SIZES_WORDS + more, False)])
        flow.y_mm -= _UNDER_WORDS_MM
        for row in rows:
            for view, right in zip(row.views, row.rights_mm, strict=True):
                _view(flow.canvas, view.placed(by=(MARGIN_MM + right, flow.y_mm - row.high_mm)))
            flow.y_mm -= row.tall_mm + _BETWEEN_MM


def laid_in_rows(
    views: Sequence[View], *, room_mm: tuple[float, float], scales: Sequence[float], most_pages: int
) -> Layout | None:
    """The views at the largest of the scales at which they fit so many pages; None where they do at none."""
    sides = [view.box_mm() for view in views]
    bare = (max(x1 - x0 for x0, _, x1, _ in sides), max(y1 - y0 for _, y0, _, y1 in sides))
    for scale in scales:
        if scale * bare[0] > room_mm[0] or scale * bare[1] > room_mm[1]:
            continue
        shown = [drawn_view(view, scale=scale) for view in views]
        boxes = [view.box() for view in shown]
        if (
            max(x1 - x0 for x0, _, x1, _ in boxes) > room_mm[0]
            or max(y1 - y0 for _, y0, _, y1 in boxes) > room_mm[1]
        ):
            continue
        pages = _pages(_rows(views, shown, wide_mm=room_mm[0]), tall_mm=room_mm[1])
        if len(pages) <= most_pages:
            return Layout(scale=scale, pages=tuple(pages))
    return None


def _rows(views: Sequence[View], shown: Sequence[DrawnView], *, wide_mm: float) -> list[ViewRow]:
    """The plan and the cuts from the front under one another, places across them in line; those from the right beside."""
    ahead = [k for k, view in enumerate(views) if view.cut is None or view.cut.seen_from is SeenFrom.FRONT]
    left = min(shown[k].box()[0] for k in ahead)
    in_line = max(shown[k].box()[2] for k in ahead) - left <= wide_mm
    rows: list[ViewRow] = []
    for k, view in enumerate(shown):
        x0, _, x1, _ = view.box()
        last = rows[-1] if rows else None
        if last is not None and k not in ahead:
            x = last.rights_mm[-1] + last.views[-1].box()[2] + 2 * _BETWEEN_MM
            if x + x1 - x0 <= wide_mm:
                rows[-1] = ViewRow(views=(*last.views, view), rights_mm=(*last.rights_mm, x - x0))
                continue
        right = -left if k in ahead and in_line else -x0
        rows.append(ViewRow(views=(view,), rights_mm=(right,)))
    return rows


def _pages(rows: Sequence[ViewRow], *, tall_mm: float) -> list[tuple[ViewRow, ...]]:
    """As many rows on each page as there is room for."""
    pages: list[tuple[ViewRow, ...]] = [()]
    used = 0.0
    for row in rows:
        if pages[-1] and used + row.tall_mm > tall_mm:
            pages.append(())
            used = 0.0
        pages[-1] = (*pages[-1], row)
        used += row.tall_mm + _BETWEEN_MM
    return pages


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
        text = pdf_letters(label.text)
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
