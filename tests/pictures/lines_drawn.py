"""A sheet with lines drawn on it, traced."""

from __future__ import annotations

from painted import INK, Table, scanned
from things_painted import lobed

from cradle.capture.tracing import trace_picture
from cradle.project.picture import PictureSource, Traced

RING = lobed(40, lobes=4) + (34, 30)


def lines_traced(folder, *strokes, rings=(RING,), size_mm=(70, 60), width_mm=0.5, colour=INK):
    """The lines of a sheet with outlines 0.8 mm wide and straight strokes, drawn with the same pen or another."""
    table = Table(*size_mm, 12, (243, 243, 240), 5)
    for ring in rings:
        table.line(ring, width_mm=0.8, colour=INK)
    for stroke in strokes:
        table.line(stroke, width_mm=width_mm, colour=colour, closed=False)
    scanned(table, dpi=200).save(folder / "a.png")
    return trace_picture(folder / "a.png", PictureSource(file="a.png", shape=Traced.LINE, dpi=200))
