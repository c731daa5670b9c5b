"""From the bodies to the holder: the pockets cut, measured, and cut again until the clearance is there."""

from __future__ import annotations

from cradle.checks.clearance import Gap, least_gap
from cradle.checks.flare import flared_block
from cradle.checks.held import load_in
from cradle.geometry.arrays import frozen
from cradle.geometry.solid import moved, transformed, union
from cradle.holder.block import check_rim
from cradle.holder.holder import Holder, make_holder
from cradle.holder.wall_plate import check_way_out
from cradle.pipeline.inspection import OnStep, silent
from cradle.pipeline.judged import Made, density_g_cm3, judged
from cradle.pipeline.row import Row, inspect_row
from cradle.pipeline.seating import Seat, seat_of, seated_again
from cradle.pocket.cavity import joined
from cradle.pocket.pocket import Pocket
from cradle.pocket.row import side_by_side
from cradle.project.spec import Project
from cradle.tolerances import DEFAULT, Tolerances

_TRIES = 6


def make(project: Project, *, clearance_mm: float | None = None, on_step: OnStep | None = None) -> Made:
    """The holder for a project, at the project's clearance or another one."""
    return build(inspect_row(project, on_step=on_step), clearance_mm=clearance_mm, on_step=on_step)


def build(
    row: Row,
    *,
    clearance_mm: float | None = None,
    on_step: OnStep | None = None,
    tolerances: Tolerances = DEFAULT,
) -> Made:
    """The holder around the inspected bodies.

    The pockets are made, measured in the finished holder, and made again a
    little wider if facets have cost more of the clearance than the tolerance.

    Raises
    ------
    GeometryError
        If the clearance, the withdrawal or the block cannot be had.
    """
    say = on_step or silent
    project = row.project
    check_rim(project.block, between_mm=row.gap_mm if len(row.order) > 1 else None)
    say("cutting the pocket")
    seats = [seat_of(inspected, clearance_mm=clearance_mm) for inspected in row.things]
    for left in reversed(range(_TRIES)):
        say("building the holder")
        placed = side_by_side(
            [seats[k].pocket for k in row.order],
            [seats[k].inspected.body.mesh for k in row.order],
            gap_mm=row.gap_mm,
        )
        loads = [
            load_in(pocket, project=seats[k].inspected.project, body=seats[k].inspected.body)
            for pocket, k in zip(placed, row.order, strict=True)
        ]
        block = flared_block(
            joined(placed), block=project.block, loads=loads, density_g_cm3=density_g_cm3(project)
        )
        holder = make_holder(
            placed,
            block=block,
            openings=project.openings,
            under=frozen([load.centre_mm[:2] for load in loads]),
            plate=project.plate,
        )
        say("measuring the gap")
        pockets = [[p for p, k in zip(placed, row.order, strict=True) if k == n] for n in range(len(seats))]
        gaps = [_gap(seat, own, holder) for seat, own in zip(seats, pockets, strict=True)]
        shorts = [seat.wanted.least_mm - gap.least_mm for seat, gap in zip(seats, gaps, strict=True)]
        if left == 0 or max(shorts) <= tolerances.clearance_mm * 0.8:
            break
        say("cutting the pocket")
        seats = [
            seated_again(seat, short_mm=short) if short > tolerances.clearance_mm * 0.8 else seat
            for seat, short in zip(seats, shorts, strict=True)
        ]
    return judged(row, seats=seats, placed=placed, gaps=gaps, holder=holder, block=block, loads=loads)


def _gap(seat: Seat, pockets: list[Pocket], holder: Holder) -> Gap:
    """The least gap of a thing in all its pockets; a wall plate in its way raises."""
    things = [transformed(seat.body, pocket.stand_from_object) for pocket in pockets]
    if holder.plate is not None:
        for thing, pocket in zip(things, pockets, strict=True):
            check_way_out(
                holder.plate, thing, direction=pocket.direction, clearance_mm=seat.wanted.greatest_mm
            )
    seated = moved(union(things, where="body"), (0.0, 0.0, holder.lift_mm))
    return least_gap(holder, seated, clearance_mm=seat.wanted.least_mm)
