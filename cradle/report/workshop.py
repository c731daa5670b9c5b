"""The pages for the workshop: verdict, cautions, readings to take, drawings to scale (PDF); as many as it takes."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO
from typing import Any, Final

from cradle.drawing.view import View
from cradle.files.isolation import pdf_canvas
from cradle.report.doubts import doubts_about, steps_after
from cradle.report.flow import (
    FAINT,
    INK,
    MARGIN_MM,
    PITCH,
    SMALL_MM,
    TEXT_MM,
    Flow,
    Run,
    draw_runs,
    wrapped_runs,
    wrapped_text,
)
from cradle.report.recommendation import Advised, recommendation
from cradle.report.tables import allowed_words
from cradle.report.workshop_views import draw_views
from cradle.result.made_holder import MadeHolder
from cradle.result.measurements import InspectionDimension
from cradle.units import PAPER_MM

_INKS: Final = {Advised.PRINT: "#1d6b3a", Advised.STOP: "#a3201d"}
_OTHER_INK: Final = "#8a5a00"
"""Of every other verdict."""
_FOOT: Final = (
    "Lengths in mm, heights above the base. Clearance is the gap on each side. Print these pages at 100 %."
)
_TITLE_MM: Final = 5.5
_INDENT_MM: Final = 5.0
_FRAME_MM: Final = 3.0
"""From the frame round the cautions to their words."""
_HEAD_MM: Final = 5.0
_LEAST_ROW_MM: Final = 5.6
_LINE_MM: Final = 3.1
"""From line to line of a name."""
_RIGHTS: Final = (37.0, 53.0, 75.0)
"""Where heights, lengths and limits end, from the left of the column."""
_BOX_MM: Final = (77.0, 11.0)
"""Where the box for the reading begins, and its width."""
_NAME_MM: Final = (27.0, 41.0)
"""Room for a name before a height, and where there is none."""


def workshop_pdf(made: MadeHolder, views: Sequence[View]) -> bytes:
    """The pages, vectors and words only, the same bytes every time; nothing is cut short; of ``views`` the plan comes first, then the cuts."""
    page_mm = PAPER_MM[made.project.printer.paper]
    out = BytesIO()
    canvas = pdf_canvas(
        out,
        page_mm=page_mm,
        title=f"{made.title}: workshop page",
        compression=0,  # the pages are short, and packing them takes longer than drawing them
    )
    flow = Flow(canvas, page_mm=page_mm, foot=_FOOT)
    _head(flow, made)
    _verdict(flow, made)
    _cautions(flow, made.cautions)
    draw_readings(flow, made.inspection)
    draw_views(flow, views)
    flow.end()
    canvas.save()
    return out.getvalue()


def _head(flow: Flow, made: MadeHolder) -> None:
    """Write the head: what is held, on as many lines as its name takes, and the clearance."""
    canvas = flow.canvas
    for line in wrapped_runs(
        canvas, [(f"Holder for: {made.name}", True)], width=flow.wide_mm, size=_TITLE_MM
    ):
        flow.y_mm -= 1.2 * _TITLE_MM
        canvas.setFillColor(INK)
        draw_runs(canvas, line, x=MARGIN_MM, y=flow.y_mm, size=_TITLE_MM)
    flow.paragraph([(made.clearance_words, False)])


def _verdict(flow: Flow, made: MadeHolder) -> None:
    """Write the verdict: what is advised and the chance of fit, the doubts, and what to do."""
    advice, doubts = recommendation(made), doubts_about(made)
    canvas = flow.canvas
    flow.y_mm -= 9.0
    canvas.setFillColor(_INKS.get(advice.advised, _OTHER_INK))
    canvas.rect(MARGIN_MM, flow.y_mm - 2, 2.2, 7.5, stroke=0, fill=1)
    canvas.setFont("Helvetica-Bold", 6.0)
    canvas.drawString(MARGIN_MM + _INDENT_MM, flow.y_mm, advice.advised.capitalize())
    canvas.setFont("Helvetica-Bold", 3.8)
    chance = f"chance of fit {made.chance_words}"
    canvas.drawRightString(flow.page_mm[0] - MARGIN_MM, flow.y_mm, chance)
    flow.y_mm -= 4.0
    for point in doubts:
        place: list[Run] = [(f"{point.place}:", True)] if point.place else []
        flow.paragraph([*place, (point.after_place, False)], head="\u2022", indent=_INDENT_MM)
    if not doubts:
        flow.paragraph([(advice.reason, False)])
    flow.heading("What to do")
    for number, step in enumerate(steps_after(doubts, advice), start=1):
        flow.paragraph([(step, False)], head=f"{number}.", indent=_INDENT_MM)


def _cautions(flow: Flow, cautions: Sequence[str]) -> None:
    """The cautions in a frame; they go on in one on the next page where they are too many for this."""
    canvas, pitch = flow.canvas, PITCH * TEXT_MM
    wide = flow.wide_mm - 2 * _FRAME_MM - _INDENT_MM
    blocks = [wrapped_runs(canvas, [(words, False)], width=wide, size=TEXT_MM) for words in cautions]
    around = 2 * _FRAME_MM + 1.6 * pitch
    all_mm = around + pitch * sum(map(len, blocks))
    if flow.room_mm - 4.0 < all_mm <= flow.whole_mm - 4.0:
        flow.turn()
    while blocks:
        flow.need(around + pitch * len(blocks[0]) + 4.0)
        most = int((flow.room_mm - 4.0 - around) / pitch)
        here: list[list[list[Run]]] = []
        while blocks and (not here or sum(map(len, here)) + len(blocks[0]) <= most):
            here.append(blocks.pop(0))
        flow.y_mm -= 4.0
        _frame(flow, here, tall=around + pitch * sum(map(len, here)))


def _frame(flow: Flow, blocks: Sequence[Sequence[Sequence[Run]]], *, tall: float) -> None:
    canvas, pitch = flow.canvas, PITCH * TEXT_MM
    canvas.setStrokeColor("#8a5a00")
    canvas.setLineWidth(0.5)
    canvas.rect(MARGIN_MM, flow.y_mm - tall, flow.wide_mm, tall, stroke=1, fill=0)
    x, y = MARGIN_MM + _FRAME_MM, flow.y_mm - _FRAME_MM - pitch
    canvas.setFillColor(INK)
    canvas.setFont("Helvetica-Bold", 3.4)
    canvas.drawString(x, y, "Take care")
    y -= 0.4 * pitch
    for lines in blocks:
        for number, line in enumerate(lines):
            y -= pitch
            if number == 0:
                draw_runs(canvas, [("\u2022", False)], x=x, y=y, size=TEXT_MM)
            draw_runs(canvas, line, x=x + _INDENT_MM, y=y, size=TEXT_MM)
    flow.y_mm -= tall


def draw_readings(flow: Flow, every: Sequence[InspectionDimension]) -> None:
    """Inspection dimensions in two columns, over as many pages as they take."""
    flow.heading("Check these with calipers on the cold print", with_mm=_HEAD_MM + 3 * _LEAST_ROW_MM)
    names = [_name_lines(flow.canvas, row) for row in every]
    step = max([_LEAST_ROW_MM, *(_LINE_MM * len(lines) + 1.4 for lines in names)])
    done = 0
    while done < len(every):
        flow.need(_HEAD_MM + step)
        most = int((flow.room_mm - _HEAD_MM) / step)
        tall = min(most, -(-(len(every) - done) // 2))
        for column in range(2):
            rows = slice(done, min(done + tall, len(every)))
            if rows.start < rows.stop:
                x = MARGIN_MM + column * flow.wide_mm / 2
                _column(flow.canvas, every[rows], names[rows], x=x, y=flow.y_mm - _HEAD_MM + 1.2, step=step)
            done = rows.stop
        flow.y_mm -= _HEAD_MM + tall * step + 1.0


def _name_lines(canvas: Any, row: InspectionDimension) -> list[str]:
    width = _NAME_MM[0] if row.height_mm is not None else _NAME_MM[1]
    return wrapped_text(canvas, row.name, width=width, size=SMALL_MM)


def _column(
    canvas: Any,
    rows: Sequence[InspectionDimension],
    names: Sequence[Sequence[str]],
    *,
    x: float,
    y: float,
    step: float,
) -> None:
    canvas.setFont("Helvetica", SMALL_MM)
    canvas.setFillColor(FAINT)
    for right, word in zip(_RIGHTS, ("height", "should read", "limits"), strict=True):
        canvas.drawRightString(x + right, y, word)
    canvas.drawString(x + _BOX_MM[0], y, "your reading")
    canvas.setFillColor(INK)
    canvas.setStrokeColor(FAINT)
    canvas.setLineWidth(0.15)
    for row, lines in zip(rows, names, strict=True):
        y -= step
        middle = y + step / 2 - 0.36 * SMALL_MM - 1.0
        canvas.setFont("Helvetica", SMALL_MM)
        for number, line in enumerate(lines):
            canvas.drawString(x, middle + _LINE_MM * ((len(lines) - 1) / 2 - number), line)
        if row.height_mm is not None:
            canvas.drawRightString(x + _RIGHTS[0], middle, f"{row.height_mm:.2f}")
        canvas.drawRightString(x + _RIGHTS[2], middle, allowed_words(row))
        canvas.setFont("Helvetica-Bold", SMALL_MM)
        canvas.drawRightString(x + _RIGHTS[1], middle, f"{row.length_mm:.2f}")
        canvas.rect(x + _BOX_MM[0], y - 0.6, _BOX_MM[1], step - 0.8, stroke=1, fill=0)
