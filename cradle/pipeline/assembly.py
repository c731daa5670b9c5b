"""One try at a holder: the seats put side by side, the block around them, and the gap measured in it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cradle.checks.clearance import Gap, least_gap
from cradle.checks.flare import flared_block
from cradle.checks.held import load_in
from cradle.checks.standing import Load
from cradle.geometry.arrays import frozen
from cradle.geometry.solid import moved, transformed, union
from cradle.holder.holder import Holder, make_holder
from cradle.holder.wall_plate import check_way_out
from cradle.pipeline.row import Row
from cradle.pipeline.seating import Seat
from cradle.pocket.pocket import Pocket
from cradle.pocket.row import side_by_side
from cradle.project.block import BlockSpec
from cradle.project.materials import solid_density_g_cm3


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Assembly:
    """A holder and what it was put together from.

    Attributes
    ----------
    row : Row
    seats : tuple of Seat
        One for each of the different things.
    placed : tuple of Pocket
        All pockets from left to right, stand frame.
    loads : tuple of Load
        The things in them, stand frame.
    block : BlockSpec
        With the flare as a number.
    holder : Holder
    gaps : tuple of Gap
        One for each seat: the least over all its pockets.
    """

    row: Row
    seats: tuple[Seat, ...]
    placed: tuple[Pocket, ...]
    loads: tuple[Load, ...]
    block: BlockSpec
    holder: Holder
    gaps: tuple[Gap, ...]

    @property
    def shorts_mm(self) -> tuple[float, ...]:
        """By how much each seat's gap falls short of what is wanted; negative where it does not."""
        return tuple(
            seat.wanted.least_mm - gap.least_mm for seat, gap in zip(self.seats, self.gaps, strict=True)
        )


def assemble(row: Row, seats: Sequence[Seat]) -> Assembly:
    """The holder for a row of seats.

    Raises
    ------
    GeometryError
        If the block, its openings or its plate cannot be had, or a thing does
        not get past the plate.
    """
    project = row.project
    in_order = [seats[n] for n in row.order]
    placed = side_by_side(
        [seat.pocket for seat in in_order],
        [seat.inspected.body.mesh for seat in in_order],
        gap_mm=row.gap_mm,
    )
    loads = tuple(load_in(pocket, seat.load) for pocket, seat in zip(placed, in_order, strict=True))
    block = flared_block(
        placed,
        block=project.block,
        loads=loads,
        density_g_cm3=solid_density_g_cm3(project.printer.material),
    )
    holder = make_holder(
        placed,
        block=block,
        openings=project.openings,
        under=frozen([load.centre_mm[:2] for load in loads]),
        plate=project.plate,
    )
    return Assembly(
        row=row,
        seats=tuple(seats),
        placed=placed,
        loads=loads,
        block=block,
        holder=holder,
        gaps=tuple(_gap(seat, row.of(n, placed), holder) for n, seat in enumerate(seats)),
    )


def _gap(seat: Seat, pockets: Sequence[Pocket], holder: Holder) -> Gap:
    """The least gap of a thing in all its pockets; a wall plate in its way raises."""
    things = [transformed(seat.body.solid, pocket.stand_from_object) for pocket in pockets]
    if holder.plate is not None:
        for thing, pocket in zip(things, pockets, strict=True):
            check_way_out(
                holder.plate, thing, direction=pocket.direction, clearance_mm=seat.wanted.greatest_mm
            )
    seated = moved(union(things, where="body"), (0.0, 0.0, holder.lift_mm))
    return least_gap(holder, seated, clearance_mm=seat.wanted.least_mm)
