"""DXF drawings of sections and of the holder in millimetres, the same bytes every time."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Final

import numpy as np

from cradle.drawing.dimension_lines import TEXT_MM, drawn_dimension
from cradle.drawing.sheet import Sheet, Stroke, View
from cradle.export.drawing import NamedRing, layer_names
from cradle.export.sheet_svg import size_with_words_mm, words_place_mm
from cradle.files.isolation import without_settings
from cradle.geometry.arrays import Floats, frozen

with without_settings():
    from ezdxf import options  # type: ignore[attr-defined]  # its documented name all the same
    from ezdxf.document import Drawing
    from ezdxf.entities.lwpolyline import LWPolylinePoints
    from ezdxf.enums import InsertUnits, TextEntityAlignment
    from ezdxf.filemanagement import new
    from ezdxf.layouts.layout import Modelspace

_COLOURS: Final = (7, 1, 5, 3, 6, 4, 30)
"""Standard colour numbers, one layer after the other: black, red, blue, green, magenta, cyan, orange."""

_STROKES: Final = {
    Stroke.CUT: (7, 50),
    Stroke.EDGE: (7, 30),
    Stroke.WIDEST: (4, 18),
    Stroke.CENTRE: (8, 18),
}
"""Colour number and line weight, 1/100 mm, of each layer."""
_DIMENSIONS: Final = "dimensions"
_WORDS: Final = "words"


def sections_dxf_bytes(rings: Sequence[NamedRing]) -> bytes:
    """A DXF file (AC1015, $INSUNITS mm) with each ring as a closed polyline on a layer of its own.

    Parameters
    ----------
    rings : sequence of NamedRing
        In the thing's frame; a ring's height becomes its polyline's elevation.
    """
    with _without_dates():
        document = _drawing(rings)
        stream = io.StringIO(newline="\n")
        document.write(stream)
    return stream.getvalue().encode(document.output_encoding, errors="dxfreplace")


def sheet_dxf_bytes(sheet: Sheet, *, words: Sequence[str]) -> bytes:
    """A DXF file (AC1015, $INSUNITS mm) of plan and cuts with dimensions, a layer for every kind of line.

    Parameters
    ----------
    sheet : Sheet
        At true size; dimensions become lines, filled arrows and figures.
    words : sequence of str
        Lines for the free corner.
    """
    with _without_dates():
        document = new("R2000")
        document.units = InsertUnits.Millimeters
        document.header["$MEASUREMENT"] = 1  # metric
        for stroke, (colour, weight) in _STROKES.items():
            document.layers.add(stroke.value, color=colour, lineweight=weight)
        document.layers.add(_DIMENSIONS, color=5, lineweight=13)
        document.layers.add(_WORDS, color=7)
        space = document.modelspace()
        for view in sheet.views:
            _add_view(space, view)
        x, y = words_place_mm(sheet)
        for number, line in enumerate(words):
            height = 4.5 if number == 0 else 3.2
            space.add_text(line, height=height, dxfattribs={"layer": _WORDS, "insert": (x, y - 6.0 * number)})
        _set_extent(document, (0.0, 0.0, 0.0), (*size_with_words_mm(sheet, words), 0.0))
        stream = io.StringIO(newline="\n")
        document.write(stream)
    return stream.getvalue().encode(document.output_encoding, errors="dxfreplace")


def _add_view(space: Modelspace, view: View) -> None:
    for line in view.lines:
        _add_polyline(space, line.points_mm, close=line.closed, own={"layer": line.stroke.value})
    own = {"layer": _DIMENSIONS}
    for dimension in view.dimensions:
        drawn = drawn_dimension(dimension)
        for start, end in drawn.strokes:
            space.add_line(start, end, dxfattribs=own)
        for a, b, c in drawn.arrows:
            space.add_solid([a, b, c, c], dxfattribs=own)
        text = space.add_text(drawn.text, height=TEXT_MM, rotation=90 if drawn.upright else 0, dxfattribs=own)
        text.set_placement(drawn.text_at, align=TextEntityAlignment.CENTER)
    for note in view.notes:
        space.add_text(note.text, height=note.height_mm, dxfattribs={"layer": _WORDS, "insert": note.at_mm})


def _add_polyline(space: Modelspace, points_mm: Floats, *, close: bool, own: dict[str, object]) -> None:
    """Add a polyline with its points all at once: one by one, ezdxf copies those it has for each new one."""
    rows = np.zeros((len(points_mm), LWPolylinePoints.VERTEX_SIZE))  # x, y, widths, bulge
    rows[:, :2] = points_mm
    space.add_lwpolyline((), close=close, dxfattribs=own).lwpoints = LWPolylinePoints(rows.tolist())


def _set_extent(
    document: Drawing, least: tuple[float, float, float], most: tuple[float, float, float]
) -> None:
    for name, point in (("EXTMIN", least), ("EXTMAX", most)):
        document.header[f"${name}"] = point
        document.modelspace().dxf_layout.dxf.set(name.lower(), point)


def _drawing(rings: Sequence[NamedRing]) -> Drawing:
    document = new("R2000")
    document.units = InsertUnits.Millimeters
    document.header["$MEASUREMENT"] = 1  # metric
    space = document.modelspace()
    for number, (ring, layer) in enumerate(zip(rings, layer_names(rings), strict=True)):
        document.layers.add(layer, color=_COLOURS[number % len(_COLOURS)])
        _add_polyline(space, ring.points_mm, close=True, own={"layer": layer, "elevation": ring.height_mm})
    if rings:
        low = [frozen(ring.points_mm).min(axis=0) for ring in rings]
        high = [frozen(ring.points_mm).max(axis=0) for ring in rings]
        heights = [ring.height_mm for ring in rings]
        least = (float(min(p[0] for p in low)), float(min(p[1] for p in low)), float(min(heights)))
        most = (float(max(p[0] for p in high)), float(max(p[1] for p in high)), float(max(heights)))
        _set_extent(document, least, most)
    return document


@contextmanager
def _without_dates() -> Iterator[None]:
    """Let ezdxf write constants where it otherwise writes the time and random identifiers."""
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before
