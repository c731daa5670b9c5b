"""DXF drawings of sections and of the holder in millimetres, the same bytes every time."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Final

import numpy as np

from cradle.drawing.drawn import DrawnView
from cradle.drawing.labels import Label
from cradle.drawing.layout import Sheet
from cradle.drawing.view import Stroke
from cradle.export.named_ring import NamedRing, layer_names
from cradle.files.isolation import without_settings
from cradle.geometry.arrays import Floats
from cradle.geometry.ring import extents

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
    Stroke.PLANE: (8, 18),
    Stroke.PLANE_END: (8, 60),
}
"""Colour number and line weight, 1/100 mm, of each layer."""
_DIMENSIONS: Final = "dimensions"
_WORDS: Final = "text"
_CHAIN: Final = "CHAIN"
_CHAIN_MM: Final = (8.4, 6.0, -1.2, 0.0, -1.2)
"""Length of the pattern, then dash, gap, dot, gap, mm on paper."""
_ALIGNED: Final = {
    0.0: TextEntityAlignment.LEFT,
    0.5: TextEntityAlignment.CENTER,
    1.0: TextEntityAlignment.RIGHT,
}


def sections_dxf_bytes(rings: Sequence[NamedRing], *, names: Sequence[Label] = ()) -> bytes:
    """A DXF file (AC1015, $INSUNITS mm) with each ring as a closed polyline on a layer of its own.

    Parameters
    ----------
    rings : sequence of NamedRing
        A ring's height becomes its polyline's elevation.
    names : sequence of Label
        Words on the drawing, on a layer of their own.
    """
    with _without_dates():
        document = _drawing(rings)
        if names:
            document.layers.add(_WORDS, color=7)
        for label in names:
            _add_label(document.modelspace(), label, layer=_WORDS)
        return _bytes_of(document)


def sheet_dxf_bytes(sheet: Sheet) -> bytes:
    """A DXF file (AC1015, $INSUNITS mm) of plan and cuts at true size, a layer for every kind of line.

    Parameters
    ----------
    sheet : Sheet
        At any scale: its words, dashes and arrows are drawn for paper of that
        scale; dimensions become lines, filled arrows and figures.
    """
    true = sheet.at_true_size()
    with _without_dates():
        document = _new_in_mm()
        pattern = [value / sheet.scale for value in _CHAIN_MM]
        document.linetypes.add(_CHAIN, pattern, description="chain line, __ . __ . __")
        for stroke, (colour, weight) in _STROKES.items():
            layer = document.layers.add(stroke.value, color=colour, lineweight=weight)
            if stroke is Stroke.PLANE:
                layer.dxf.linetype = _CHAIN
        document.layers.add(_DIMENSIONS, color=5, lineweight=13)
        document.layers.add(_WORDS, color=7)
        space = document.modelspace()
        for view in true.views:
            _add_view(space, view)
        _set_extent(document, (0.0, 0.0, 0.0), (*true.size_mm, 0.0))
        return _bytes_of(document)


def _new_in_mm() -> Drawing:
    document = new("R2000")
    document.units = InsertUnits.Millimeters
    document.header["$MEASUREMENT"] = 1  # metric
    return document


def _bytes_of(document: Drawing) -> bytes:
    stream = io.StringIO(newline="\n")
    document.write(stream)
    return stream.getvalue().encode(document.output_encoding, errors="dxfreplace")


def _add_view(space: Modelspace, view: DrawnView) -> None:
    for line in view.lines:
        _add_polyline(space, line.points_mm, close=line.closed, own={"layer": line.stroke.value})
    own = {"layer": _DIMENSIONS}
    for _, segments in view.strokes:
        for start, end in segments:
            space.add_line(start, end, dxfattribs=own)
    for a, b, c in view.arrows:
        space.add_solid([a, b, c, c], dxfattribs=own)
    for label in view.labels:
        _add_label(space, label, layer=_DIMENSIONS if label.is_figure else _WORDS)


def _add_label(space: Modelspace, label: Label, *, layer: str) -> None:
    text = space.add_text(
        label.text.replace("Ø", "%%c"),  # DXF reference: the control code for a diameter
        height=label.height_mm,
        rotation=90 if label.upright else 0,
        dxfattribs={"layer": layer},
    )
    text.set_placement(label.at, align=_ALIGNED[label.anchor])


def _add_polyline(space: Modelspace, points_mm: Floats, *, close: bool, own: dict[str, object]) -> None:
    """Add a polyline, all its points at once: added one by one, ezdxf would copy those before for each."""
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
    document = _new_in_mm()
    space = document.modelspace()
    for number, (ring, layer) in enumerate(zip(rings, layer_names(rings), strict=True)):
        document.layers.add(layer, color=_COLOURS[number % len(_COLOURS)])
        _add_polyline(space, ring.points_mm, close=True, own={"layer": layer, "elevation": ring.height_mm})
    if rings:
        heights = [ring.height_mm for ring in rings]
        x0, y0, x1, y1 = extents(np.concatenate([ring.points_mm for ring in rings]))
        _set_extent(document, (x0, y0, min(heights)), (x1, y1, max(heights)))
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
