"""How thick walls and floor are between the pocket and the outside."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from cradle.checks.place_words import Corner, place_words
from cradle.finding import About, Finding, Severity, in_mm
from cradle.geometry.arrays import Floats
from cradle.geometry.planar import distance_to_boundary_mm, nearest_to_boundary
from cradle.geometry.solid import Solid, gap_mm, layer, lowest_mm, moved, surroundings
from cradle.holder.holder import Holder
from cradle.pocket.pocket import Pocket
from cradle.project.block import BlockSpec
from cradle.project.opening import Through
from cradle.project.printer import PrinterSpec
from cradle.result.measurements import Wall

_MARGIN_MM = 5.0
_APART_MM = 1e-3
_BEYOND_MM = 2.0
"""How much further apart than in plan two pockets are looked for; a larger distance is told as this."""
_EVEN_MM = 1e-6
_TWO_LINES = "two printed lines are the least that holds"


def thinnest_wall(holder: Holder, pockets: Sequence[Pocket], *, block: BlockSpec) -> Wall:
    """The wall between pockets and outside where it is thinnest, below lead-in and chamfer.

    The kernel measures the least distance between the pockets and the room
    around the block, over their whole surfaces; the pockets' levels tell where
    it is.

    Parameters
    ----------
    pockets : sequence of Pocket
        From left to right.
    """
    inner = moved(holder.cavity.solid, (0.0, 0.0, holder.lift_mm))
    floor = lowest_mm(inner)
    top = holder.height_mm - max(block.lead_in_mm, block.chamfer_mm, _APART_MM)
    top = max(top, floor + _APART_MM)
    inner = layer(inner, low_mm=floor - _MARGIN_MM, high_mm=top, where="wall")
    around = surroundings(holder.block, margin_mm=_MARGIN_MM, where="wall")
    outer = layer(around, low_mm=_APART_MM, high_mm=top, where="wall")
    place, near = _nearest(holder, block=block, top_mm=top)
    return Wall(
        least_mm=gap_mm(inner, outer, within_mm=near + _APART_MM),
        height_mm=float(place[2]) - holder.lift_mm,
        place_mm=(float(place[0]), float(place[1]), float(place[2])),
        floor_mm=min(
            [floor, *(gap_mm(cut, holder.cavity.solid, within_mm=floor) for cut in _from_below(holder))]
        ),
        between_mm=min((_apart_mm(a, b) for a, b in pairwise(pockets)), default=None),
    )


def _from_below(holder: Holder) -> list[Solid]:
    return [
        cut for opening in holder.openings if opening.spec.through is Through.FLOOR for cut in opening.blind
    ]


def _apart_mm(one: Pocket, other: Pocket) -> float:
    """The least distance between two pockets below the block's top."""
    search = float(other.extent_mm()[0] - one.extent_mm()[2]) + _BEYOND_MM
    below = [
        layer(pocket.solid, low_mm=pocket.bottom_mm - _MARGIN_MM, high_mm=pocket.top_mm, where="wall")
        for pocket in (one, other)
    ]
    return gap_mm(*below, within_mm=search)


def _nearest(holder: Holder, *, block: BlockSpec, top_mm: float) -> tuple[Floats, float]:
    """The point of the pockets' levels nearest to the block's outline at that height, and how far they are apart."""
    pocket = holder.cavity
    height = pocket.heights_mm + holder.lift_mm
    use = height <= max(top_mm, float(height[0]))
    away = distance_to_boundary_mm(pocket.levels[use], holder.plan)
    away = away + block.wider_mm * (1 - height[use] / holder.height_mm)
    k = int(np.argmin(away))
    x, y = nearest_to_boundary(pocket.levels[use][k], holder.plan)
    return np.array([x, y, height[use][k]]), float(away[k])


def wall_findings(wall: Wall, *, printer: PrinterSpec, corner_mm: Corner) -> tuple[Finding, ...]:
    """Walls and floors too thin to print well; their place is in the print frame."""
    found = []
    lines_mm = 2 * printer.line_mm
    if wall.least_mm < lines_mm - _EVEN_MM:
        x, y, _ = wall.place_mm
        found.append(
            Finding(
                code="wall-thin",
                severity=_how_bad(wall.least_mm, least_mm=printer.line_mm),
                message=f"the wall is only {wall.least_mm:.2f} mm thick {place_words(x, y, corner_mm=corner_mm)},"
                f" height {wall.height_mm:.0f} mm",
                advice=f"make the wall {lines_mm - wall.least_mm:.1f} mm thicker or more: {_TWO_LINES}",
                about=About.HOLDER,
                where="block.wall",
                place_mm=wall.place_mm,
                **in_mm(wall.least_mm, limit=lines_mm),
            )
        )
    if wall.between_mm is not None and wall.between_mm < lines_mm - _EVEN_MM:
        found.append(
            Finding(
                code="wall-between-thin",
                severity=_how_bad(wall.between_mm, least_mm=printer.line_mm),
                message=f"the wall between two pockets of the row is only {wall.between_mm:.2f} mm thick",
                advice=f"make the gap {lines_mm - wall.between_mm:.1f} mm wider or more: {_TWO_LINES}",
                about=About.HOLDER,
                where="row.gap",
                **in_mm(wall.between_mm, limit=lines_mm),
            )
        )
    layers_mm = 3 * printer.layer_mm
    if wall.floor_mm < layers_mm - _EVEN_MM:
        found.append(
            Finding(
                code="floor-thin",
                severity=_how_bad(wall.floor_mm, least_mm=printer.layer_mm),
                message=f"the floor is only {wall.floor_mm:.2f} mm thick",
                advice="make it three printed layers thick or more",
                about=About.HOLDER,
                where="block.floor",
                **in_mm(wall.floor_mm, limit=layers_mm),
            )
        )
    return tuple(found)


def _how_bad(thick_mm: float, *, least_mm: float) -> Severity:
    """What is thinner than the printer's least cannot be printed."""
    return Severity.FAIL if thick_mm < least_mm else Severity.WARN
