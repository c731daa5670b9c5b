"""The drill template: where the screws go, at true size, to be taped to the wall."""

from __future__ import annotations

from typing import Any, Final

import numpy as np

from cradle.export.paper_pages import Pages, draw_arrow_up, draw_outline, tiled
from cradle.geometry.arrays import Floats
from cradle.units import PAPER_MM

_ARM_MM: Final = 7.0
"""Half the length of a cross."""
_RING_MM: Final = 2.0
_TEXT_MM: Final = 3.2
_UNDER_MM: Final = 7.0
"""Strip under the outline for words."""
_TAPE: Final = "Seen from the front, as it hangs. Tape it to the wall, the edge at the arrow level, and prick through the crosses."
_CARE: Final = (
    "Look for cables and pipes before you drill; wear eye protection. Nothing here is a load rating."
)


def drill_template_pdf(outline_mm: Floats, places_mm: Floats, *, page: str, title: str) -> bytes:
    """A PDF at exact size: what lies on the wall, a cross for each screw, and how far they are apart.

    Parameters
    ----------
    outline_mm : (n, 2) float64
        Outline of what lies on the wall, x to the right as seen from the front and z up.
    places_mm : (k, 2) float64
        Where the screws go.
    page : str
        A key of `cradle.units.PAPER_MM`.
    title : str
        The thing's name.
    """
    size = PAPER_MM[page]
    pages = Pages(page_mm=size, title=f"{title}: drill template")
    under = outline_mm.min(axis=0) - [0.0, _UNDER_MM]
    every = np.concatenate([outline_mm, places_mm - _ARM_MM, places_mm + _ARM_MM, under[None]])
    spacing = _spacing_words(places_mm)

    def draw(canvas: Any, by_mm: tuple[float, float]) -> None:
        _draw(canvas, outline_mm + by_mm, places_mm + by_mm, spacing=spacing)

    foot = [f"{title}: drill template", _TAPE, _CARE]
    pages.spread(draw, tiled(every, page_mm=size), foot=foot)
    return pages.data()


def _spacing_words(places_mm: Floats) -> str:
    """How far the screws are apart, across and up."""
    across, up = (float(v) for v in np.ptp(places_mm, axis=0))
    words = [f"{v:.1f} mm {way}" for v, way in ((across, "across"), (up, "up")) if v > 0.05]
    return f"screws: {', '.join(words)}" if words else "one screw"


def _draw(canvas: Any, outline: Floats, places: Floats, *, spacing: str) -> None:
    draw_outline(canvas, outline)
    for x, y in places.tolist():
        canvas.line(x - _ARM_MM, y, x + _ARM_MM, y)
        canvas.line(x, y - _ARM_MM, x, y + _ARM_MM)
        canvas.circle(x, y, _RING_MM, stroke=1, fill=0)
    low, high = outline.min(axis=0), outline.max(axis=0)
    middle = float(low[0] + high[0]) / 2
    canvas.setFont("Helvetica", _TEXT_MM)
    canvas.drawCentredString(middle, float(low[1]) - _UNDER_MM + 2.0, spacing)
    tip = float(high[1]) - 1.0
    draw_arrow_up(canvas, x=middle, tip=tip, long=6.0)
    canvas.drawString(middle + 2.0, tip - 5.0, "up")
