"""How thick the walls are between pocket and outside."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cradle.finding import Finding, Severity
from cradle.geometry.planar import distance_to_boundary_mm
from cradle.holder.holder import Holder
from cradle.pocket.pocket import Pocket
from cradle.project.spec import BlockSpec, PrinterSpec


@dataclass(frozen=True, slots=True, kw_only=True)
class Wall:
    """The thinnest wall below the mouth, mm, and the height above the resting plane where it is."""

    least_mm: float
    height_mm: float


def thinnest_wall(holder: Holder, pocket: Pocket, *, block: BlockSpec) -> Wall:
    """The least level distance from the pocket to the outside, below lead-in and chamfer.

    A flared block is a stack of offset plans, so its outside at a height is
    further off by the offset there.
    """
    edge = max(block.lead_in_mm, block.chamfer_mm)
    z = pocket.heights_mm
    use = z <= max(pocket.top_mm - edge, float(z[0]))
    away = distance_to_boundary_mm(pocket.levels[use], holder.plan)
    away = away + block.flare_mm * (1 - (z[use] + holder.lift_mm) / holder.height_mm)
    k = int(np.argmin(away))
    return Wall(least_mm=float(away[k]), height_mm=float(z[use][k]))


def wall_findings(wall: Wall, *, block: BlockSpec, printer: PrinterSpec) -> tuple[Finding, ...]:
    """Walls and floors too thin to print well."""
    found = []
    if wall.least_mm < 2 * printer.line_mm - 1e-6:
        found.append(
            Finding(
                code="wall-thin",
                severity=Severity.FAIL if wall.least_mm < printer.line_mm else Severity.WARN,
                message=f"the wall is {wall.least_mm:.2f} mm thick at height {wall.height_mm:.0f} mm",
                where="block.wall",
                measured=wall.least_mm,
                limit=2 * printer.line_mm,
                unit="mm",
                advice="make it two printed lines thick or more",
            )
        )
    if block.floor_mm < 3 * printer.layer_mm - 1e-6:
        found.append(
            Finding(
                code="floor-thin",
                severity=Severity.WARN,
                message=f"the floor is {block.floor_mm:.2f} mm thick",
                where="block.floor",
                measured=block.floor_mm,
                limit=3 * printer.layer_mm,
                unit="mm",
                advice="make it three printed layers thick or more",
            )
        )
    return tuple(found)


def bed_findings(size_mm: tuple[float, float, float], *, printer: PrinterSpec) -> tuple[Finding, ...]:
    """A holder that is larger than the printer's bed, even turned by a quarter."""
    x, y, z = size_mm
    bx, by, bz = printer.bed_mm
    if z <= bz and ((x <= bx and y <= by) or (y <= bx and x <= by)):
        return ()
    return (
        Finding(
            code="bed",
            severity=Severity.FAIL,
            message=f"the holder is {x:.0f} × {y:.0f} × {z:.0f} mm, the printer takes {bx:g} × {by:g} × {bz:g} mm",
            where="printer.bed",
            measured=max(x, y),
            limit=max(bx, by),
            unit="mm",
            advice="make the block lower or the wall and flare smaller",
        ),
    )
