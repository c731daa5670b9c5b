"""The table of what calipers should read, on paper, with a box for each reading; heights are above the base."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from cradle.report.flow import FAINT, INK, MARGIN_MM, SMALL_MM, Flow, wrapped
from cradle.report.tables import allowed_words
from cradle.result.measurements import InspectionDimension

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
    return wrapped(canvas, row.name, width=width, size=SMALL_MM)


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
