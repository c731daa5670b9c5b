"""How thick walls and floor are between the pocket and the outside."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial
from itertools import pairwise

import numpy as np

from cradle.checks.place_words import Corner, place_words
from cradle.finding import About, Finding, Severity, doubt, in_mm
from cradle.geometry.arrays import Floats
from cradle.geometry.region_measures import distance_to_boundary_mm, nearest_to_boundary
from cradle.geometry.solid import Solid, gap_mm, layer, lowest_mm, moved, surroundings
from cradle.holder.holder import Holder
from cradle.pocket.pocket import Pocket
from cradle.project.block import BlockSpec
from cradle.project.opening import Through
from cradle.project.printer import PrinterSpec
from cradle.result.measurements import Wall
from cradle.units import tenths_up

_MARGIN_MM = 5.0
_APART_MM = 1e-3
_BEYOND_MM = 2.0
"""How much further apart than in plan two pockets are looked for; a larger distance is told as this."""
_EVEN_MM = 1e-6
"""A wall that lacks less than this is as thick as its limit."""
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
    x, y, _ = wall.place_mm
    of_two_lines = partial(_if_thin, printed_mm=printer.line_mm, times=2)
    lines_mm = 2 * printer.line_mm
    outside = doubt(
        "wall-thin",
        f"the wall is only {wall.least_mm:.2f} mm thick {place_words(x, y, corner_mm=corner_mm)},"
        f" height {wall.height_mm:.0f} mm",
        f"make the wall {tenths_up(lines_mm - wall.least_mm)} mm thicker or more: {_TWO_LINES}",
        where="block.wall",
        place_mm=wall.place_mm,
    )
    found = [*of_two_lines(outside, wall.least_mm)]
    if wall.between_mm is not None:
        between = doubt(
            "wall-between-thin",
            f"the wall between two pockets of the row is only {wall.between_mm:.2f} mm thick",
            f"make the gap {tenths_up(lines_mm - wall.between_mm)} mm wider or more: {_TWO_LINES}",
            where="row.gap",
        )
        found += of_two_lines(between, wall.between_mm)
    floor = doubt(
        "floor-thin",
        f"the floor is only {wall.floor_mm:.2f} mm thick",
        "make it three printed layers thick or more",
        where="block.floor",
    )
    return (*found, *_if_thin(floor, wall.floor_mm, printed_mm=printer.layer_mm, times=3))


def _if_thin(told: Finding, thick_mm: float, *, printed_mm: float, times: int) -> Iterator[Finding]:
    """The finding where a part is thinner than so many printed lines or layers: a warning, or a failure where it is thinner than one."""
    limit_mm = times * printed_mm
    if thick_mm < limit_mm - _EVEN_MM:
        severity = Severity.FAIL if thick_mm < printed_mm else Severity.WARN
        yield replace(told, severity=severity, about=About.HOLDER, **in_mm(thick_mm, limit=limit_mm))
