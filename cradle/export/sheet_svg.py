"""SVG drawings of the holder: plan and cuts with dimensions, one unit is one millimetre."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from typing import Final

import numpy as np

from cradle.drawing.dimension_lines import TEXT_MM, drawn_dimension
from cradle.drawing.sheet import Sheet, Stroke, View
from cradle.geometry.arrays import Floats

_MARGIN_MM: Final = 6.0
_STROKES: Final = {
    Stroke.CUT: 'stroke="#24211c" stroke-width="0.5"',
    Stroke.EDGE: 'stroke="#24211c" stroke-width="0.3"',
    Stroke.WIDEST: 'stroke="#0f5c63" stroke-width="0.2"',
    Stroke.CENTRE: 'stroke="#5e574d" stroke-width="0.2" stroke-dasharray="6 1.2 1 1.2"',
}


def sheet_svg_bytes(sheet: Sheet, *, title: str, words: Sequence[str]) -> bytes:
    """An SVG file with the views at true size and a few words in the free corner."""
    parts = [part for view in sheet.views for part in _view_parts(view)]
    x, y = words_place_mm(sheet)
    parts += [
        _text(line, (x, y - 6.0 * number), 4.5 if number == 0 else 3.2) for number, line in enumerate(words)
    ]
    return _document(parts, (0.0, 0.0, *size_with_words_mm(sheet, words)), title=title).encode()


def view_svg(view: View, *, title: str) -> str:
    """One view as an SVG element to stand in a page."""
    return _document(_view_parts(view), view.extent_mm(), title=title)


def words_place_mm(sheet: Sheet) -> tuple[float, float]:
    """Where the first line of words stands: in the free corner, above the cut from the right."""
    plan, _, right, *_ = sheet.views
    return right.extent_mm()[0], plan.extent_mm()[3] - 6.0


def size_with_words_mm(sheet: Sheet, words: Sequence[str]) -> tuple[float, float]:
    """Width and height of the sheet with its words, whose letters are about 0.6 of their height wide."""
    wide, tall = sheet.size_mm
    x, _ = words_place_mm(sheet)
    heads, lines = words[:1], words[1:]
    ends = [x + 0.6 * 4.5 * len(line) for line in heads] + [x + 0.6 * 3.2 * len(line) for line in lines]
    return max(wide, *ends) if ends else wide, tall


def _document(parts: Sequence[str], extent: tuple[float, float, float, float], *, title: str) -> str:
    x0, y0, x1, y1 = extent
    width, height = x1 - x0 + 2 * _MARGIN_MM, y1 - y0 + 2 * _MARGIN_MM
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:.3f}mm" height="{height:.3f}mm" role="img"'
        f' viewBox="{x0 - _MARGIN_MM:.3f} {-y1 - _MARGIN_MM:.3f} {width:.3f} {height:.3f}"'
        f' fill="none" font-family="sans-serif"><title>{escape(title)}</title>'
    )
    return "\n".join([head, *parts, "</svg>\n"])


def _view_parts(view: View) -> list[str]:
    parts = []
    if view.material:
        d = " ".join(_path(ring, closed=True) for ring in view.material)
        parts.append(f'<path fill="#e9d8bd" fill-rule="evenodd" d="{d}"/>')
    parts += [
        f'<path {_STROKES[line.stroke]} d="{_path(line.points_mm, closed=line.closed)}"/>'
        for line in view.lines
    ]
    for dimension in view.dimensions:
        drawn = drawn_dimension(dimension)
        strokes = " ".join(_path(np.array(pair), closed=False) for pair in drawn.strokes)
        arrows = " ".join(_path(np.array(arrow), closed=True) for arrow in drawn.arrows)
        parts.append(
            f'<g><title>{escape(dimension.name)}</title><path stroke="#5e574d" stroke-width="0.15" d="{strokes}"/>'
        )
        parts.append(f'<path fill="#5e574d" d="{arrows}"/>')
        x, y = drawn.text_at
        turn = f' transform="rotate(-90 {x:.3f} {-y:.3f})"' if drawn.upright else ""
        parts.append(
            f'<text x="{x:.3f}" y="{-y:.3f}" font-size="{TEXT_MM / 0.72:.2f}" text-anchor="middle" fill="#24211c"'
            f' stroke="#fff" stroke-width="0.7" paint-order="stroke"{turn}>{drawn.text}</text></g>'
        )
    parts += [_text(note.text, note.at_mm, note.height_mm) for note in view.notes]
    return parts


def _path(points: Floats, *, closed: bool) -> str:
    pairs = "L".join(f"{x:.3f} {-y:.3f}" for x, y in points.tolist())
    return f"M{pairs}{'Z' if closed else ''}"


def _text(text: str, at: tuple[float, float], height_mm: float) -> str:
    size = height_mm / 0.72  # height of capitals to the size of the letters
    return (
        f'<text x="{at[0]:.3f}" y="{-at[1]:.3f}" font-size="{size:.2f}" fill="#24211c">{escape(text)}</text>'
    )
