"""The drill template: where the screws go, at true size, to be taped to the wall."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import Any, Final

import numpy as np

from cradle.export.paper_pages import (
    LONGEST_TITLE,
    MARGIN_MM,
    Pages,
    Window,
    draw_arrow_up,
    draw_outline,
    tiled,
)
from cradle.geometry.arrays import Floats
from cradle.geometry.vectors import left_of
from cradle.names import shortened
from cradle.units import PAPER_MM

_ARM_MM: Final = 7.0
"""Half the length of a cross."""
_RING_MM: Final = 2.0
_TEXT_MM: Final = 3.2
_UP_MM: Final = 14.0
"""Length of the arrow that says which way is up."""
_TAPE: Final = (
    "Seen from the front, as it hangs. Tape it to the wall, the arrow upright, and prick through the crosses."
)
_CARE: Final = (
    "Look for cables and pipes before you drill; wear eye protection. Nothing here is a load rating."
)


def drill_template_pdf(
    outline_mm: Floats, places_mm: Floats, *, screws: Sequence[str], page: str, title: str
) -> bytes:
    """A PDF at exact size: what lies on the wall, a cross for each screw, how far they are apart, and which they are.

    The drawing lies on its side where that takes fewer pages; an arrow in each
    page's corner says which way is up.

    Parameters
    ----------
    outline_mm : (n, 2) float64
        Outline of what lies on the wall, x to the right as seen from the front and z up.
    places_mm : (k, 2) float64
        Where the screws go.
    screws : sequence of str
        Which screws, in sentences.
    page : str
        A key of `cradle.units.PAPER_MM`.
    """
    size = PAPER_MM[page]
    pages = Pages(page_mm=size, title=f"{title}: drill template")
    upright = _windows(outline_mm, places_mm, page_mm=size)
    on_its_side = _windows(left_of(outline_mm), left_of(places_mm), page_mm=size)
    lies = len(on_its_side) < len(upright)
    outline, places = (left_of(outline_mm), left_of(places_mm)) if lies else (outline_mm, places_mm)

    def draw(canvas: Any, by_mm: tuple[float, float]) -> None:
        _draw(canvas, outline + by_mm, places + by_mm)

    foot = [
        f"{shortened(title, LONGEST_TITLE)}: drill template",
        _TAPE,
        " ".join([_spacing_words(places_mm), *screws]),
        _CARE,
    ]
    up = partial(_draw_up, right=size[0] - MARGIN_MM, lies=lies)
    pages.spread(draw, on_its_side if lies else upright, foot=foot, on_each=up)
    return pages.data()


def _windows(outline: Floats, places: Floats, *, page_mm: tuple[float, float]) -> list[Window]:
    return tiled(np.concatenate([outline, places - _ARM_MM, places + _ARM_MM]), page_mm=page_mm)


def _spacing_words(places_mm: Floats) -> str:
    """How far the screws are apart, across and up."""
    across, up = (float(v) for v in np.ptp(places_mm, axis=0))
    words = [f"{v:.1f} mm {way}" for v, way in ((across, "across"), (up, "up")) if v > 0.05]
    return f"Screws: {', '.join(words)}." if words else "One screw."


def _draw(canvas: Any, outline: Floats, places: Floats) -> None:
    draw_outline(canvas, outline)
    for x, y in places.tolist():
        canvas.line(x - _ARM_MM, y, x + _ARM_MM, y)
        canvas.line(x, y - _ARM_MM, x, y + _ARM_MM)
        canvas.circle(x, y, _RING_MM, stroke=1, fill=0)


def _draw_up(canvas: Any, *, right: float, lies: bool) -> None:
    """The arrow upwards, in the right corner of the strip at the foot; on its side like the drawing."""
    canvas.saveState()
    canvas.setStrokeColor("#000000")
    canvas.setFillColor("#24211c")
    canvas.setLineWidth(0.3)
    canvas.translate(right - _UP_MM - 1.0, MARGIN_MM + 3.0)
    if lies:
        canvas.translate(_UP_MM, 3.0)
        canvas.rotate(90)
    canvas.setFont("Helvetica", _TEXT_MM)
    draw_arrow_up(canvas, x=2.0, tip=_UP_MM, long=_UP_MM)
    canvas.drawString(4.0, _UP_MM / 2 - 1.0, "up")
    canvas.restoreState()
