"""The page for the workshop: verdict, readings to take, drawings to scale, cautions (PDF); large drawings have a second."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO
from typing import Any, Final

from cradle.drawing.sheet import View
from cradle.drawing.views import cuts_of
from cradle.files.isolation import pdf_canvas, printable
from cradle.report.recommendation import Advised, recommendation
from cradle.report.tables import allowed_words
from cradle.report.workshop_views import (
    COLUMN_MM,
    MARGIN_MM,
    draw_sheet,
    draw_stacked,
    sheet_that_fits,
    stacked_views,
)
from cradle.result.made_holder import MadeHolder
from cradle.result.measurements import InspectionDimension
from cradle.units import MM_PER, PAPER_MM

_TEXT: Final = 2.9
_SMALL: Final = 2.1
_BOX: Final = 15.0
"""Width of the box for a reading."""
_NARROW_BOX: Final = 11.0
_INKS: Final = {Advised.PRINT: "#1d6b3a", Advised.TEST_PIECES: "#8a5a00", Advised.STOP: "#a3201d"}
_CAUTIONS_TALL: Final = 58.0
"""Height that the cautions may take, mm; letters shrink for it, and what is still left out is counted."""
_CAUTION_SIZES: Final = (_TEXT, 2.7, 2.5, 2.3, _SMALL)
_PITCH: Final = 1.28
"""From line to line, in heights of a letter."""
_MOST_STEPS: Final = 6
_LAST_STEPS: Final = 3
_LEAST_BESIDE: Final = 0.5
"""Smaller drawings have a page of their own."""
_LEAST_ROW: Final = 4.2


def workshop_pdf(made: MadeHolder, views: Sequence[View]) -> bytes:
    """The page, vectors and words only, the same bytes every time; a second one where the drawings are large.

    Parameters
    ----------
    made : MadeHolder
    views : sequence of View
        The plan, then the cuts; the page shows those of the first thing.
    """
    page_mm = PAPER_MM[made.project.printer.paper]
    out = BytesIO()
    canvas = pdf_canvas(
        out,
        size_pt=(page_mm[0] / MM_PER["pt"], page_mm[1] / MM_PER["pt"]),
        compression=0,  # the page is short, and packing it takes longer than drawing it
    )
    canvas.setTitle(printable(f"{made.title}: workshop page"))
    canvas.setAuthor("cradle")
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.scale(1 / MM_PER["pt"], 1 / MM_PER["pt"])
    top = _head(canvas, made, page_mm=page_mm)
    low = _cautions(canvas, made.cautions, wide=page_mm[0] - 2 * MARGIN_MM)
    shown = [views[0], *cuts_of(views, made.things, 0)]
    column = stacked_views(shown, room_mm=(COLUMN_MM, top - low), least=_LEAST_BESIDE)
    _readings(
        canvas,
        made.inspection,
        top=top,
        low=low,
        wide=page_mm[0] - 2 * MARGIN_MM,
        columns=1 if column else 2,
    )
    if column is not None:
        draw_stacked(canvas, column, x=page_mm[0] - MARGIN_MM - COLUMN_MM, top=top)
    _foot(canvas)
    canvas.showPage()
    if column is None:
        canvas.scale(1 / MM_PER["pt"], 1 / MM_PER["pt"])
        _drawing_page(canvas, shown, title=made.name, page_mm=page_mm)
        _foot(canvas)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def _drawing_page(canvas: Any, views: Sequence[View], *, title: str, page_mm: tuple[float, float]) -> None:
    """Plan and cuts on a page of their own: under one another or side by side, whichever is larger."""
    wide, top = page_mm[0] - 2 * MARGIN_MM, page_mm[1] - MARGIN_MM - 5
    canvas.setFillColor("#24211c")
    canvas.setFont("Helvetica-Bold", 5.5)
    canvas.drawString(MARGIN_MM, top, _cut_short(canvas, f"Holder for: {title}", width=wide, size=5.5))
    room = (wide, top - 4 - MARGIN_MM)
    stack, sheet = stacked_views(views, room_mm=room), sheet_that_fits(views, room_mm=room)
    if stack is not None and (sheet is None or stack.scale >= sheet.scale):
        draw_stacked(canvas, stack, x=MARGIN_MM, top=top - 4)
    elif sheet is not None:
        draw_sheet(canvas, sheet, top=top - 4)
    else:
        canvas.setFont("Helvetica", _TEXT)
        canvas.drawString(
            MARGIN_MM, top - 10, "Plan and cuts are too large for this page: see the drawing's own file."
        )


def _foot(canvas: Any) -> None:
    canvas.setFillColor("#5e574d")
    canvas.setFont("Helvetica", 2.4)
    canvas.drawString(
        MARGIN_MM, 8.0, "Lengths in mm. Clearance is the gap on each side. Print this page at 100 %."
    )


def _head(canvas: Any, made: MadeHolder, *, page_mm: tuple[float, float]) -> float:
    """Name, clearance, verdict with its reason and steps; return where they end."""
    advice = recommendation(made)
    y = page_mm[1] - MARGIN_MM - 5
    canvas.setFont("Helvetica-Bold", 5.5)
    beside = canvas.stringWidth(made.clearance_words, "Helvetica", 3.4) + 6
    title = _cut_short(
        canvas, f"Holder for: {made.name}", width=page_mm[0] - 2 * MARGIN_MM - beside, size=5.5
    )
    canvas.drawString(MARGIN_MM, y, title)
    canvas.setFont("Helvetica", 3.4)
    canvas.drawRightString(page_mm[0] - MARGIN_MM, y, made.clearance_words)
    y -= 9
    canvas.setFillColor(_INKS[advice.advised])
    canvas.rect(MARGIN_MM, y - 2, 2.2, 7.5, stroke=0, fill=1)
    canvas.setFont("Helvetica-Bold", 6.0)
    canvas.drawString(MARGIN_MM + 5, y, advice.advised.capitalize())
    canvas.setFillColor("#24211c")
    y -= 6
    wide = page_mm[0] - 2 * MARGIN_MM
    y = _paragraph(canvas, advice.reason, x=MARGIN_MM, y=y, width=wide, most=4)
    steps = advice.steps
    if len(steps) > _MOST_STEPS:  # the last ones say what to do with any holder
        steps = (*steps[: _MOST_STEPS - _LAST_STEPS], *steps[-_LAST_STEPS:])
    for number, step in enumerate(steps, start=1):
        y = _paragraph(canvas, f"{number}. {step}", x=MARGIN_MM, y=y, width=wide, most=2)
    return y - 4


def _cautions(canvas: Any, cautions: Sequence[str], *, wide: float) -> float:
    """The cautions in a frame at the foot of the page; return the height where it ends."""
    low = MARGIN_MM
    if not cautions:
        return low
    size, lines = _caution_lines(canvas, cautions, width=wide - 6)
    pitch = _PITCH * size
    high = low + len(lines) * pitch + 8
    canvas.setStrokeColor("#8a5a00")
    canvas.setLineWidth(0.5)
    canvas.rect(MARGIN_MM, low, wide, high - low, stroke=1, fill=0)
    canvas.setFont("Helvetica-Bold", 3.2)
    canvas.drawString(MARGIN_MM + 3, high - 4.6, "Take care")
    canvas.setFont("Helvetica", size)
    for number, line in enumerate(lines):
        canvas.drawString(MARGIN_MM + 3, high - 8.6 - pitch * number, line)
    return high + 4


def _caution_lines(canvas: Any, cautions: Sequence[str], *, width: float) -> tuple[float, list[str]]:
    """Size of the letters and the lines; cautions that find no room are counted in the last one."""
    for size in _CAUTION_SIZES:
        most = int((_CAUTIONS_TALL - 8) / (_PITCH * size))
        wrapped = [_wrapped(canvas, f"- {text}", width=width, size=size) for text in cautions]
        if sum(map(len, wrapped)) <= most:
            break
    lines: list[str] = []
    for number, of_one in enumerate(wrapped):
        rest = sum(map(len, wrapped[number:]))
        if len(lines) + rest > most and len(lines) + len(of_one) > most - 1:
            return size, [*lines, f"{len(wrapped) - number} more: see fit-report.html"]
        lines += of_one
    return size, lines


def _readings(
    canvas: Any, every: Sequence[InspectionDimension], *, top: float, low: float, wide: float, columns: int
) -> None:
    """Inspection dimensions with a box for each reading, in one or two columns."""
    most = max(1, int((top - low - 12) / _LEAST_ROW)) * columns
    rows = (
        every
        if len(every) <= most
        else [every[round(k * (len(every) - 1) / (most - 1))] for k in range(most)]
    )
    canvas.setFont("Helvetica-Bold", 3.4)
    left_out = (
        "" if len(rows) == len(every) else f" ({len(rows)} of {len(every)}; all are in fit-report.html)"
    )
    canvas.drawString(MARGIN_MM, top - 4, f"Check these with calipers on the cold print{left_out}")
    tall = -(-len(rows) // columns)
    step = min(7.0, (top - low - 12) / tall)
    for column in range(columns):
        x = MARGIN_MM + column * wide / 2
        part = rows[column * tall : (column + 1) * tall]
        _reading_column(canvas, part, x=x, y=top - 9, step=step, box=_BOX if columns == 1 else _NARROW_BOX)


def _reading_column(
    canvas: Any, rows: Sequence[InspectionDimension], *, x: float, y: float, step: float, box: float
) -> None:
    canvas.setFont("Helvetica", 2.4)
    canvas.setFillColor("#5e574d")
    for right, word in ((40.0, "above base"), (54.0, "should read"), (75.0, "limits")):
        canvas.drawRightString(x + right, y, word)
    canvas.drawString(x + 77, y, "your reading")
    canvas.setFillColor("#24211c")
    canvas.setStrokeColor("#5e574d")
    canvas.setLineWidth(0.15)
    for row in rows:
        y -= step
        _name(canvas, row.name, x=x, y=y, width=29.0 if row.height_mm is not None else 41.0)
        canvas.setFont("Helvetica", _TEXT)
        if row.height_mm is not None:
            canvas.drawRightString(x + 40, y, f"{row.height_mm:.2f}")
        canvas.setFont("Helvetica-Bold", _TEXT)
        canvas.drawRightString(x + 54, y, f"{row.length_mm:.2f}")
        canvas.setFont("Helvetica", 2.5)
        canvas.drawRightString(x + 75, y, allowed_words(row))
        canvas.rect(x + 77, y - 0.3 * step + 0.3, box, step - 1.0, stroke=1, fill=0)


def _name(canvas: Any, text: str, *, x: float, y: float, width: float) -> None:
    """A reading's name; one too long for its line stands in two smaller ones."""
    lines = _wrapped(canvas, text, width=width)
    if len(lines) == 1:
        canvas.setFont("Helvetica", _TEXT)
        canvas.drawString(x, y, lines[0])
        return
    lines = _wrapped(canvas, text, width=width, size=_SMALL)
    canvas.setFont("Helvetica", _SMALL)
    if len(lines) > 2:
        lines = [lines[0], f"{lines[1]}…"]
    for number, line in enumerate(lines):
        canvas.drawString(x, y + 1.05 * (len(lines) - 1) - 2.1 * number, line)


def _paragraph(canvas: Any, text: str, *, x: float, y: float, width: float, most: int) -> float:
    """Wrapped words, at most so many lines; return where the next line goes."""
    lines = _wrapped(canvas, text, width=width)
    if len(lines) > most:
        lines = [*lines[: most - 1], f"{lines[most - 1]} …"]
    canvas.setFont("Helvetica", _TEXT)
    for line in lines:
        canvas.drawString(x, y, line)
        y -= 4.0
    return y


def _wrapped(canvas: Any, text: str, *, width: float, size: float = _TEXT) -> list[str]:
    """Lines that fit a width in letters of a size."""
    lines: list[str] = []
    for word in printable(text).split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and canvas.stringWidth(longer, "Helvetica", size) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines or [""]


def _cut_short(canvas: Any, text: str, *, width: float, size: float) -> str:
    """As much of a bold line as fits a width."""
    text = printable(text)
    if canvas.stringWidth(text, "Helvetica-Bold", size) <= width:
        return text
    while text and canvas.stringWidth(f"{text}…", "Helvetica-Bold", size) > width:
        text = text[:-1]
    return f"{text}…"
