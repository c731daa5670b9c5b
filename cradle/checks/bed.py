"""Whether the holder fits the printer's bed."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from cradle.finding import Finding, Severity, in_mm, note
from cradle.project.printer import PrinterSpec


def bed_findings(size_mm: tuple[float, float, float], *, printer: PrinterSpec) -> Iterator[Finding]:
    """A holder that is larger than the printer's bed however it is turned, or fits askew only."""
    x, y, z = size_mm
    bx, by, bz = printer.bed_mm
    if z <= bz and ((x <= bx and y <= by) or (y <= bx and x <= by)):
        return
    turn = _turn_that_fits(x, y, bed_mm=(bx, by)) if z <= bz else None
    if turn is not None:
        yield note(
            "bed-turned",
            f"the holder, {x:.0f} × {y:.0f} mm, fits the bed of {bx:g} × {by:g} mm only rotated by"
            f" about {turn:.0f}°",
            where="printer.bed",
        )
        return
    yield Finding(
        code="bed",
        severity=Severity.FAIL,
        message=f"the holder is {x:.0f} × {y:.0f} × {z:.0f} mm, the printer takes {bx:g} × {by:g} × {bz:g} mm",
        advice="make the block or the plate lower"
        if z > bz
        else "make the plate, the wall, the flare or the block's own width and depth smaller; of a row, the gap, turn long things (turn = 90 in each of their sections), or put fewer things into it",
        where="printer.bed",
        **in_mm(z if z > bz else max(x, y), limit=bz if z > bz else max(bx, by)),
    )


def _turn_that_fits(x: float, y: float, *, bed_mm: tuple[float, float]) -> float | None:
    """A turn, degrees, at which the box around a rectangle is no larger than the bed; None without one."""
    degrees = np.arange(0.5, 90.0, 0.5)
    cos, sin = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    fits = (x * cos + y * sin <= bed_mm[0]) & (x * sin + y * cos <= bed_mm[1])
    return float(degrees[fits].mean()) if fits.any() else None
