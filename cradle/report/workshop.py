"""One page for the workshop: verdict, readings to take, drawings to scale, cautions (PDF, A4)."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO
from typing import Any, Final

from cradle.geometry.arrays import Floats
from cradle.holder.dimension_lines import drawn_dimension
from cradle.holder.sheet import Stroke, View
from cradle.report.facts import Facts
from cradle.report.judgement import Verdict, judge
from cradle.report.tables import allowed_words, caution_words
from cradle.units import MM_PER

PAGE_MM: Final = (210.0, 297.0)
"""ISO 216 A4."""
_MARGIN: Final = 14.0
_SCALES: Final = (5.0, 2.0, 1.0, 0.5, 0.2, 0.1, 0.05, 0.02)
"""ISO 5455 (from memory): enlarged, full size, reduced."""
_COLUMN: Final = 84.0
_TEXT: Final = 2.9
_INKS: Final = {Verdict.PRINT: "#1d6b3a", Verdict.SLICES: "#8a5a00", Verdict.STOP: "#a3201d"}
_WIDTHS: Final = {Stroke.CUT: 0.4, Stroke.EDGE: 0.2, Stroke.WIDEST: 0.13, Stroke.CENTRE: 0.13}
_MOST_CAUTIONS: Final = 12
_MOST_VIEWS: Final = 3
_LEAST_ROW: Final = 4.2


def workshop_pdf(facts: Facts) -> bytes:
    """The page, vectors and words only, the same bytes every time."""
    from reportlab.pdfgen.canvas import Canvas

    out = BytesIO()
    canvas = Canvas(
        out,
        pagesize=(PAGE_MM[0] / MM_PER["pt"], PAGE_MM[1] / MM_PER["pt"]),
        invariant=1,
        pageCompression=0,  # the page is short, and packing it takes longer than drawing it
    )
    canvas.setTitle(_fit(f"{facts.title}: workshop page"))
    canvas.setAuthor("cradle")
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.scale(1 / MM_PER["pt"], 1 / MM_PER["pt"])
    top = _head(canvas, facts)
    low = _cautions(canvas, facts)
    _readings(canvas, facts, top=top, low=low)
    _views(canvas, facts, top=top, low=low)
    canvas.setFillColor("#57606a")
    canvas.setFont("Helvetica", 2.4)
    canvas.drawString(
        _MARGIN, 8.0, "Lengths in mm. Clearance is the gap on each side. Print this page at 100 %."
    )
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def _head(canvas: Any, facts: Facts) -> float:
    """Name, clearance, verdict with its reason and steps; return where they end."""
    judgement = judge(facts.summary, goal=facts.project.fit.chance, project_file=facts.project.file.name)
    y = PAGE_MM[1] - _MARGIN - 5
    canvas.setFont("Helvetica-Bold", 5.5)
    canvas.drawString(_MARGIN, y, _fit(f"Holder for: {facts.name}")[:60])
    canvas.setFont("Helvetica", 3.4)
    canvas.drawRightString(PAGE_MM[0] - _MARGIN, y, facts.clearance_words)
    y -= 9
    canvas.setFillColor(_INKS[judgement.verdict])
    canvas.rect(_MARGIN, y - 2, 2.2, 7.5, stroke=0, fill=1)
    canvas.setFont("Helvetica-Bold", 6.0)
    canvas.drawString(_MARGIN + 5, y, judgement.verdict.capitalize())
    canvas.setFillColor("#1f2328")
    y -= 6
    wide = PAGE_MM[0] - 2 * _MARGIN
    y = _paragraph(canvas, judgement.reason, x=_MARGIN, y=y, width=wide, most=4)
    for number, step in enumerate(judgement.steps[:6], start=1):
        y = _paragraph(canvas, f"{number}. {step}", x=_MARGIN, y=y, width=wide, most=2)
    return y - 4


def _cautions(canvas: Any, facts: Facts) -> float:
    """The cautions in a frame at the foot of the page; return the height where it ends."""
    words = caution_words(facts.summary.get("cautions") or [])[:_MOST_CAUTIONS]
    low = _MARGIN
    if not words:
        return low
    wide = PAGE_MM[0] - 2 * _MARGIN
    lines = [line for text in words for line in _wrapped(canvas, f"- {text}", width=wide - 6)]
    high = low + len(lines) * 3.7 + 8
    canvas.setStrokeColor("#8a5a00")
    canvas.setLineWidth(0.5)
    canvas.rect(_MARGIN, low, wide, high - low, stroke=1, fill=0)
    canvas.setFont("Helvetica-Bold", 3.2)
    canvas.drawString(_MARGIN + 3, high - 4.6, "Take care")
    canvas.setFont("Helvetica", _TEXT)
    for number, line in enumerate(lines):
        canvas.drawString(_MARGIN + 3, high - 8.6 - 3.7 * number, line)
    return high + 4


def _readings(canvas: Any, facts: Facts, *, top: float, low: float) -> None:
    """Control dimensions with a box for each reading."""
    every = facts.summary["control_dimensions"]
    most = max(1, int((top - low - 12) / _LEAST_ROW))
    rows = (
        every
        if len(every) <= most
        else [every[round(k * (len(every) - 1) / (most - 1))] for k in range(most)]
    )
    canvas.setFont("Helvetica-Bold", 3.4)
    left_out = (
        "" if len(rows) == len(every) else f" ({len(rows)} of {len(every)}; all are in fit-report.html)"
    )
    canvas.drawString(_MARGIN, top - 4, f"Calipers on the cold print{left_out}")
    step = min(7.0, (top - low - 12) / len(rows))
    y = top - 9
    canvas.setFont("Helvetica", 2.4)
    canvas.setFillColor("#57606a")
    for x, word in ((40.0, "above foot"), (54.0, "should read"), (75.0, "allowed")):
        canvas.drawRightString(_MARGIN + x, y, word)
    canvas.drawString(_MARGIN + 77, y, "reads")
    canvas.setFillColor("#1f2328")
    canvas.setStrokeColor("#57606a")
    canvas.setLineWidth(0.15)
    for row in rows:
        y -= step
        canvas.setFont("Helvetica", _TEXT)
        name = _wrapped(canvas, row["name"], width=29.0 if row["height_mm"] is not None else 41.0)
        canvas.drawString(_MARGIN, y, name[0] + ("…" if len(name) > 1 else ""))
        if row["height_mm"] is not None:
            canvas.drawRightString(_MARGIN + 40, y, f"{row['height_mm']:.2f}")
        canvas.setFont("Helvetica-Bold", _TEXT)
        canvas.drawRightString(_MARGIN + 54, y, f"{row['length_mm']:.2f}")
        canvas.setFont("Helvetica", 2.5)
        canvas.drawRightString(_MARGIN + 75, y, allowed_words(row))
        canvas.rect(_MARGIN + 77, y - 0.3 * step + 0.3, 15, step - 1.0, stroke=1, fill=0)


def _views(canvas: Any, facts: Facts, *, top: float, low: float) -> None:
    """Plan and cuts of the first thing under one another in the right column, at the largest usual scale that fits."""
    views = facts.views[:_MOST_VIEWS]
    boxes = [view.extent_mm() for view in views]
    wide = max(b[2] - b[0] for b in boxes)
    tall = sum(b[3] - b[1] for b in boxes)
    room = top - low - 8 - 6 * len(boxes)
    scale = next((s for s in _SCALES if s * wide <= _COLUMN - 4 and s * tall <= room), _SCALES[-1])
    x = PAGE_MM[0] - _MARGIN - _COLUMN
    canvas.setFont("Helvetica-Bold", 3.4)
    ratio = f"{scale:g}:1" if scale >= 1 else f"1:{1 / scale:g}"
    canvas.drawString(x, top - 4, f"Plan and cuts, scale {ratio}")
    y = top - 8
    for view, box in zip(views, boxes, strict=True):
        y -= scale * (box[3] - box[1])
        _view(canvas, view, scale=scale, at=(x - scale * box[0] + 2, y - scale * box[1]))
        y -= 6


def _view(canvas: Any, view: View, *, scale: float, at: tuple[float, float]) -> None:
    def place(point: Sequence[float]) -> tuple[float, float]:
        return at[0] + scale * point[0], at[1] + scale * point[1]

    if view.material:
        canvas.setFillColor("#e9d8bd")
        path = canvas.beginPath()
        for ring in view.material:
            _trace(path, ring, place, closed=True)
        canvas.drawPath(path, stroke=0, fill=1, fillMode=0)
    canvas.setStrokeColor("#1f2328")
    for line in view.lines:
        canvas.setLineWidth(_WIDTHS[line.stroke])
        canvas.setDash([4, 0.8, 0.7, 0.8] if line.stroke is Stroke.CENTRE else [])
        path = canvas.beginPath()
        _trace(path, line.points_mm, place, closed=line.closed)
        canvas.drawPath(path, stroke=1, fill=0)
    canvas.setDash([])
    canvas.setFillColor("#1f2328")
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
        canvas.setFont("Helvetica", 2.3)
        canvas.drawCentredString(0, 0, drawn.text)
        canvas.restoreState()
    canvas.setFont("Helvetica", 2.7)
    for note in view.notes:
        canvas.drawString(*place(note.at_mm), _fit(note.text))


def _trace(path: Any, points: Floats, place: Any, *, closed: bool) -> None:
    every = points.tolist()
    path.moveTo(*place(every[0]))
    for point in every[1:]:
        path.lineTo(*place(point))
    if closed:
        path.close()


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


def _wrapped(canvas: Any, text: str, *, width: float) -> list[str]:
    """Lines that fit a width in the usual letters."""
    lines: list[str] = []
    for word in _fit(text).split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and canvas.stringWidth(longer, "Helvetica", _TEXT) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines or [""]


def _fit(text: str) -> str:
    """The text in letters that the page's built-in typeface has."""
    return text.encode("cp1252", errors="replace").decode("cp1252")
