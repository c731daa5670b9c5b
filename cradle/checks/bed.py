"""Whether the holder fits the printer's bed."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from cradle.finding import Finding, Severity, in_mm, note
from cradle.names import listed
from cradle.project.block import BlockForm
from cradle.project.project import Project

_LEAST_BED_MM = 60.0
"""No printer's bed is smaller in all directions (common practice, no source): such a one was read in another unit."""


def bed_findings(size_mm: tuple[float, float, float], *, project: Project, pockets: int) -> Iterator[Finding]:
    """A holder that is larger than the printer's bed however it is turned, or fits askew only."""
    x, y, z = size_mm
    bx, by, bz = project.printer.bed_mm
    lies = _lies_on(x, y, bed_mm=(bx, by))
    if z <= bz and lies:
        return
    turn = None if lies else _turn_that_fits(x, y, bed_mm=(bx, by))
    if turn is not None and z <= bz:
        yield note(
            "bed-turned",
            f"the holder, {x:.0f} × {y:.0f} mm, fits the bed of {bx:g} × {by:g} mm only rotated by"
            f" about {turn:.0f}°",
            where="printer.bed",
        )
        return
    unit = "; lengths without a unit are in mm" if max(bx, by, bz) < _LEAST_BED_MM else ""
    yield Finding(
        code="bed",
        severity=Severity.FAIL,
        message=f"the holder is {x:.0f} × {y:.0f} × {z:.0f} mm, the printer takes {bx:g} × {by:g} × {bz:g} mm",
        advice=_advice(size_mm, fits_across=lies or turn is not None, project=project, pockets=pockets)
        + unit,
        where="printer.bed",
        **in_mm(z if z > bz else max(x, y), limit=bz if z > bz else max(bx, by)),
    )


def _advice(size_mm: tuple[float, float, float], *, fits_across: bool, project: Project, pockets: int) -> str:
    """What makes a holder fit that is too large across, too high or both."""
    x, y, z = size_mm
    lower = f"make the block{' or the plate' if project.plate else ''} lower"
    if fits_across:
        return lower
    alone = _pocket_alone(x, y, project=project) if pockets == 1 else None
    if alone is not None:
        return f"the pocket alone takes {alone[0]:.0f} × {alone[1]:.0f} mm: print it on a larger printer"
    smaller = _smaller(project, pockets=pockets)
    return f"{lower}; and {smaller}" if z > project.printer.bed_mm[2] else smaller


def _pocket_alone(x: float, y: float, *, project: Project) -> tuple[float, float] | None:
    """Width and depth of the only pocket where that alone is too large for the bed; None too where the block tells nothing of them."""
    block, bed = project.block, project.printer.bed_mm[:2]
    own = block.width_mm is not None or block.depth_mm is not None
    if project.plate or own or block.form is BlockForm.OVAL:
        return None
    around = 2 * (block.wall_mm + block.wider_mm)
    pocket = x - around, y - around
    if _lies_on(*pocket, bed_mm=bed) or _turn_that_fits(*pocket, bed_mm=bed) is not None:
        return None
    return pocket


def _smaller(project: Project, *, pockets: int) -> str:
    """What makes the holder smaller of all that makes it as large as it is."""
    block = project.block
    own = [
        name for name, asked in (("width", block.width_mm), ("depth", block.depth_mm)) if asked is not None
    ]
    what = ["the plate"] if project.plate else []
    what += [f"the block's own {listed(own)}"] if own else []
    what += ["the flare"] if block.wider_mm > 0 else []
    advice = f"make {listed(['the wall', *what], 'or')} smaller"
    if pockets == 1:
        return advice
    return (
        f"{advice}, or the gap between the things; turn long ones (turn = 90 in each of their sections, and width and depth "
        "beside a drawing or picture exchanged), or put fewer into the row"
    )


def _lies_on(x: float, y: float, *, bed_mm: tuple[float, float]) -> bool:
    """Whether a rectangle lies on the bed along one of its sides."""
    bx, by = bed_mm
    return (x <= bx and y <= by) or (y <= bx and x <= by)


def _turn_that_fits(x: float, y: float, *, bed_mm: tuple[float, float]) -> float | None:
    """A turn, degrees, at which the box around a rectangle is no larger than the bed; None without one."""
    degrees = np.arange(0.5, 90.0, 0.5)
    cos, sin = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    fits = (x * cos + y * sin <= bed_mm[0]) & (x * sin + y * cos <= bed_mm[1])
    return float(degrees[fits].mean()) if fits.any() else None
