"""The paper check: outlines at true size on pages to print, cut out and hold against the thing.

Outlines share a page as long as there is room; one that is larger than a page
goes on several.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import Any, Final

import numpy as np

from cradle.export.named_ring import NamedRing
from cradle.export.paper_pages import (
    LONGEST_TITLE,
    MARGIN_MM,
    Pages,
    draw_arrow_up,
    draw_outline,
    room_mm,
    tiled,
)
from cradle.export.rows import in_rows
from cradle.files.isolation import pdf_letters
from cradle.geometry.arrays import Floats
from cradle.names import shortened
from cradle.noun import noun
from cradle.units import PAPER_MM

_CUT: Final = (
    "Each outline is the thing seen from above, its front at the bottom. Cut the middle out along the line and keep"
    " the sheet with the hole. Slip it over the thing from below, held level; where the thing is wider below, cut the"
    " sheet open at one place and close it round the thing.",
    "Good: at the height written with the outline it touches all round, and no gap is wider than 0.5 mm (a stout"
    " card). Where it jams lower down or gapes, measure that section again before you print anything.",
)
"""What to do and what is good; the 0.5 mm are common practice with card templates, no source."""
_CARE: Final = "Knives are sharp: cut on a mat, away from your hand; cap the blade when done."
_BETWEEN_MM: Final = 6.0
"""Gap between outlines on a page."""
_FLAT_MM: Final = 0.3
"""Of a front as flat as this the arrow is at the middle."""
_NAME_MM: Final = 3.2
_ARROW_MM: Final = 4.0
_UNDER_MM: Final = 13.0
"""Strip under each outline for the arrow at its front and its name."""
_LONGEST_NAME: Final = 24
"""Letters of a section's name that are shown: more would leave the outline no room."""
_LETTER_WIDE: Final = 0.62
"""Width of a bold letter in its size, on average and with room to spare."""


@noun
class PlacedOutline:
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
    """
    size = PAPER_MM[page]
    pages = Pages(page_mm=size, title=f"{title}: paper check")
    title = shortened(title, LONGEST_TITLE)
    room = room_mm(size)
    small = [ring for ring in rings if (_box_mm(ring)[1] <= room).all()]
    for number, group in enumerate(packed(small, page_mm=size), start=1):
        pages.whole(
            partial(_draw_all, group=group), foot=[f"{title}: paper check, page {number}", *_CUT, _CARE]
        )
    for ring in rings:
        low, need = _box_mm(ring)
        if (need > room).any():
            windows = tiled(np.array([low, low + need]), page_mm=size)
            pages.spread(
                partial(_draw_unnamed, ring), windows, foot=[f"{title}: {_name(ring)}", *_CUT, _CARE]
            )
    return pages.data()


def packed(rings: Sequence[NamedRing], *, page_mm: tuple[float, float]) -> list[list[PlacedOutline]]:
    """Outlines laid out page by page, in rows."""
    wide, tall = room_mm(page_mm).tolist()
    boxes = [_box_mm(ring) for ring in rings]
    sizes = [(width, height) for _, (width, height) in boxes]
    places = in_rows(sizes, wide_mm=wide, tall_mm=tall, between_mm=_BETWEEN_MM)
    pages: list[list[PlacedOutline]] = []
    for (page, x, down), ring, (low, size) in zip(places, rings, boxes, strict=True):
        if page == len(pages):
            pages.append([])
        corner = np.array([MARGIN_MM + x, page_mm[1] - MARGIN_MM - down - size[1]])
        by_x, by_y = (corner - low).tolist()
        pages[-1].append(PlacedOutline(ring=ring, by_mm=(by_x, by_y)))
    return pages


def _name(ring: NamedRing) -> str:
    return f"{shortened(ring.name, _LONGEST_NAME)}, {ring.height_mm:g} mm"


def _box_mm(ring: NamedRing) -> tuple[Floats, Floats]:
    """Lower left corner and size of an outline with its name under it."""
    low, high = ring.points_mm.min(axis=0) - 1.0, ring.points_mm.max(axis=0) + 1.0
    short = max(_LETTER_WIDE * _NAME_MM * len(_name(ring)) - (high[0] - low[0]), 0.0)
    low, high = low - [short / 2, _UNDER_MM], high + [short / 2, 0.0]
    return low, high - low


def _draw_all(canvas: Any, *, group: Sequence[PlacedOutline]) -> None:
    for placed in group:
        _draw(placed.ring, canvas, placed.by_mm)


def _draw(ring: NamedRing, canvas: Any, by_mm: tuple[float, float]) -> None:
    """The outline, an arrow at its front, and its name."""
    points = ring.points_mm + np.array(by_mm)
    _draw_unnamed(ring, canvas, by_mm)
    middle, low = float(points[:, 0].min() + points[:, 0].max()) / 2, float(points[:, 1].min())
    canvas.setFont("Helvetica-Bold", _NAME_MM)
    canvas.drawCentredString(middle, low - _UNDER_MM + 3.0, pdf_letters(_name(ring)))


def _draw_unnamed(ring: NamedRing, canvas: Any, by_mm: tuple[float, float]) -> None:
    """The outline and the arrow at its front; over several pages its name stands at their feet."""
    points = ring.points_mm + np.array(by_mm)
    draw_outline(canvas, points)
    y = float(points[:, 1].min())
    foremost = points[points[:, 1] <= y + _FLAT_MM, 0]
    x = float(foremost.min() + foremost.max()) / 2
    draw_arrow_up(canvas, x=x, tip=y - 1.0, long=_ARROW_MM)
    canvas.setFont("Helvetica", 2.8)
    canvas.drawString(x + 1.6, y - 1.0 - _ARROW_MM, "front")
