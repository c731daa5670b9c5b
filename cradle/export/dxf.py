"""DXF drawings of sections in millimetres, the same bytes every time."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Final

from ezdxf import options  # type: ignore[attr-defined]  # its documented name all the same
from ezdxf.document import Drawing
from ezdxf.enums import InsertUnits
from ezdxf.filemanagement import new

from cradle.export.drawing import NamedRing, layer_names
from cradle.geometry.arrays import frozen

_COLOURS: Final = (7, 1, 5, 3, 6, 4, 30)
"""Standard colour numbers, one layer after the other: black, red, blue, green, magenta, cyan, orange."""


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


def _drawing(rings: Sequence[NamedRing]) -> Drawing:
    document = new("R2000")
    document.units = InsertUnits.Millimeters
    document.header["$MEASUREMENT"] = 1  # metric
    space = document.modelspace()
    for number, (ring, layer) in enumerate(zip(rings, layer_names(rings), strict=True)):
        document.layers.add(layer, color=_COLOURS[number % len(_COLOURS)])
        space.add_lwpolyline(
            ring.points_mm.tolist(), close=True, dxfattribs={"layer": layer, "elevation": ring.height_mm}
        )
    if rings:
        low = [frozen(ring.points_mm).min(axis=0) for ring in rings]
        high = [frozen(ring.points_mm).max(axis=0) for ring in rings]
        heights = [ring.height_mm for ring in rings]
        least = (min(p[0] for p in low), min(p[1] for p in low), min(heights))
        most = (max(p[0] for p in high), max(p[1] for p in high), max(heights))
        for name, corner in (("EXTMIN", least), ("EXTMAX", most)):
            point = tuple(float(v) for v in corner)
            document.header[f"${name}"] = point
            space.dxf_layout.dxf.set(name.lower(), point)
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
