"""SVG drawings of the holder: plan and cuts with dimensions."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from typing import Final

import numpy as np

from cradle.drawing.drawn import DrawnView, drawn_view
from cradle.drawing.layout import Sheet
from cradle.drawing.view import Stroke, View
from cradle.export.svg import label_element
from cradle.geometry.arrays import Floats
from cradle.geometry.ring import Box

_MARGIN_MM: Final = 6.0
_DARK: Final = "#24211c"
_FAINT: Final = "#5e574d"
_WIDTHS: Final = {
    Stroke.CUT: 0.5,
    Stroke.EDGE: 0.3,
    Stroke.WIDEST: 0.2,
    Stroke.PLANE: 0.2,
    Stroke.PLANE_END: 0.6,
}
"""Widths of lines on paper, mm."""
_INKS: Final = {Stroke.WIDEST: "#0f5c63", Stroke.PLANE: _FAINT}
_CHAIN_MM: Final = (6.0, 1.2, 1.0, 1.2)
"""Dash, gap, dot, gap."""
_ELEMENT_MM: Final = 122.0
"""Width of what is drawn in an element of a page: there it is some 90 mm wide, and figures of 2.5 mm stay legible."""
_LEAST_PART: Final = 0.15
"""Least part of an element's width that the widest view takes; what is beside it may take the rest."""
_TRIES: Final = 5
_A_LITTLE_LESS: Final = 0.995


def sheet_svg_bytes(sheet: Sheet, *, title: str) -> bytes:
    """An SVG file of a sheet: one unit is one millimetre of the holder, shown at the sheet's scale."""
    true = sheet.at_true_size()
    thin = 1 / sheet.scale
    parts = [part for view in true.views for part in _view_parts(view, thin=thin)]
    box = (0.0, 0.0, *true.size_mm)
    return _document(parts, box, title=title, margin=_MARGIN_MM * thin, scale=sheet.scale).encode()


def view_elements(views: Sequence[View]) -> tuple[str, ...]:
    """Each view as an SVG element for a page, all at one scale, so that their letters have one size."""
    shown = _fitting_elements(views)
    boxes = [view.box() for view in shown]
    wide = max(x1 - x0 for x0, _, x1, _ in boxes)
    elements = []
    for view, (x0, y0, x1, y1) in zip(shown, boxes, strict=True):
        spare = (wide - (x1 - x0)) / 2
        box = (x0 - spare, y0, x1 + spare, y1)
        elements.append(_document(_view_parts(view, thin=1.0), box, title=view.title, margin=1.0, scale=1.0))
    return tuple(elements)


def _fitting_elements(views: Sequence[View]) -> list[DrawnView]:
    """The views at about the largest scale at which the widest, with its dimensions, fits an element.

    Words keep their size, so that the width is not in proportion: what stands
    beside a view is measured at one scale and left room for at the next.
    """
    bare = [x1 - x0 for x0, _, x1, _ in (view.box_mm() for view in views)]
    most = _ELEMENT_MM / max(bare)
    scale = most
    for _ in range(_TRIES):
        shown = [drawn_view(view, scale=scale) for view in views]
        wide = [x1 - x0 for x0, _, x1, _ in (view.box() for view in shown)]
        if max(wide) <= _ELEMENT_MM:
            return shown
        room = [_ELEMENT_MM - (w - scale * b) for w, b in zip(wide, bare, strict=True)]
        fitting = min(r / b for r, b in zip(room, bare, strict=True))
        scale = _A_LITTLE_LESS * min(fitting, scale)
        if scale < _LEAST_PART * most:
            break
    return [drawn_view(view, scale=_LEAST_PART * most) for view in views]


def _document(parts: Sequence[str], box: Box, *, title: str, margin: float, scale: float) -> str:
    x0, y0, x1, y1 = box
    width, height = x1 - x0 + 2 * margin, y1 - y0 + 2 * margin
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{scale * width:.3f}mm" height="{scale * height:.3f}mm"'
        f' role="img" viewBox="{x0 - margin:.3f} {-y1 - margin:.3f} {width:.3f} {height:.3f}"'
        f' fill="none" font-family="sans-serif"><title>{escape(title)}</title>'
    )
    return "\n".join([head, *parts, "</svg>\n"])


def _view_parts(view: DrawnView, *, thin: float) -> list[str]:
    """The pieces of a view; ``thin`` is the width of a millimetre of paper in its units."""
    parts = []
    if view.material:
        d = " ".join(_path(ring, closed=True) for ring in view.material)
        parts.append(f'<path fill="#e9d8bd" fill-rule="evenodd" d="{d}"/>')
    for line in view.lines:
        dashes = ""
        if line.stroke is Stroke.PLANE:
            dashes = f' stroke-dasharray="{" ".join(f"{thin * v:.3g}" for v in _CHAIN_MM)}"'
        ink, width = _INKS.get(line.stroke, _DARK), thin * _WIDTHS[line.stroke]
        d = _path(line.points_mm, closed=line.closed)
        parts.append(f'<path stroke="{ink}" stroke-width="{width:.3g}"{dashes} d="{d}"/>')
    for name, segments in view.strokes:
        d = " ".join(_path(np.array(pair), closed=False) for pair in segments)
        parts.append(
            f'<path stroke="{_FAINT}" stroke-width="{0.15 * thin:.3g}" d="{d}"><title>{escape(name)}</title></path>'
        )
    if view.arrows:
        d = " ".join(_path(np.array(arrow), closed=True) for arrow in view.arrows)
        parts.append(f'<path fill="{_FAINT}" d="{d}"/>')
    return parts + [label_element(label, attributes=f' fill="{_DARK}"') for label in view.labels]


def _path(points: Floats, *, closed: bool) -> str:
    pairs = "L".join(f"{x:.3f} {-y:.3f}" for x, y in points.tolist())
    return f"M{pairs}{'Z' if closed else ''}"
