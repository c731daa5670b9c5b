"""Parts of the holder thinner than a printed line: they are left out of the print, or hang by a thread.

A level section of the holder, shrunk by half a line and grown again, loses
what is narrower than a line (a morphological opening). Sharp corners lose
their tips too; a loss counts only when a disc a good part of a line wide fits
between its far ends, so tips of corners do not.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from cradle.checks.place_words import Corner, place_words
from cradle.finding import About, Finding, doubt, in_mm
from cradle.geometry.planar import closed, opened, outer_rings, region, without
from cradle.geometry.region_measures import area_mm2, bounds, empty
from cradle.geometry.solid import cut_regions
from cradle.holder.holder import Holder
from cradle.holder.opening import Opening
from cradle.noun import record
from cradle.project.printer import PrinterSpec
from cradle.tolerances import TOLERANCES

_LEVELS = 24
_LEAST_MM = 2 * TOLERANCES.chord_mm
"""Anything thinner is a leftover of modelling, and is not printed."""
_NO_GAP = 0.5
"""A gap narrower than this part of a line is hardly left open by the lines on both sides (common practice, no source): what stands
between it and the pocket is no wall."""
_LEAST_LENGTH = 3.0
"""A thin part shorter than this many lines is the tip of a corner."""


@record
class ThinPart:
    """A part of a level section narrower than a line: how long it is, and where (print frame)."""

    length_mm: float
    place_mm: tuple[float, float, float]


def thin_parts(holder: Holder, *, line_mm: float) -> tuple[ThinPart, ...]:
    """Parts narrower than a line at evenly spaced heights, longest first, one for each height."""
    heights = (np.arange(_LEVELS) + 0.5) / _LEVELS * holder.height_mm
    levels = cut_regions(holder.solid, heights)
    printed = opened(closed(levels, _NO_GAP * line_mm / 2), line_mm / 2 - 1e-6)
    missing = without(levels, printed)
    found = []
    for height, lost in zip(heights.tolist(), missing, strict=True):
        if empty(lost):
            continue
        sizes = []
        for ring in outer_rings(lost):
            x0, y0, x1, y1 = bounds(region(ring)).tolist()
            length = float(np.hypot(x1 - x0, y1 - y0))
            area = area_mm2(region(ring))
            if length >= _LEAST_LENGTH * line_mm and area > max(0.3 * line_mm * line_mm, _LEAST_MM * length):
                sizes.append((length, ((x0 + x1) / 2, (y0 + y1) / 2, height)))
        if sizes:
            length, place = max(sizes)
            found.append(ThinPart(length_mm=length, place_mm=place))
    return tuple(sorted(found, key=lambda part: -part.length_mm))


def thin_findings(
    parts: tuple[ThinPart, ...], *, openings: Sequence[Opening], printer: PrinterSpec, corner_mm: Corner
) -> Iterator[Finding]:
    """A finding on the longest thin part; its place is in the print frame."""
    if not parts:
        return
    x, y, z = parts[0].place_mm
    yield doubt(
        "feature-thin",
        f"a part of the holder {parts[0].length_mm:.1f} mm long, {place_words(x, y, corner_mm=corner_mm)}, {z:z.0f} mm"
        " above the bed, is thinner than one printed line and may be missing in the print",
        "move the opening away from the edge, or make the wall thicker"
        if openings
        else "make the wall thicker",
        about=About.LOOKS,
        where="block.wall",
        place_mm=parts[0].place_mm,
        **in_mm(limit=printer.line_mm),
    )
