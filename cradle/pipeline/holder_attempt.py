"""One attempt at a holder: the pockets put side by side, the block around them, and the gap measured in it or foreseen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from cradle.checks.clearance import least_gap
from cradle.geometry.arrays import frozen
from cradle.geometry.solid import Solid, layer, lowest_mm, moved, transformed, union
from cradle.holder.holder import Holder, make_holder
from cradle.holder.standing import Load, flared_block
from cradle.holder.wall_plate import check_way_out
from cradle.noun import noun
from cradle.pipeline.pocket_attempt import PocketAttempt
from cradle.pipeline.row import Row
from cradle.pocket.pocket import Pocket
from cradle.pocket.row import put_in_row
from cradle.project.block import BlockSpec
from cradle.result.measurements import Gap
from cradle.result.seated_thing import seated_load


@noun
class HolderAttempt:
    """A holder, and how far its gaps fall short.

    Attributes
    ----------
    pockets : tuple of PocketAttempt
        One for each of the different things.
    placed : tuple of Pocket
        All pockets from left to right, stand frame.
    loads : tuple of Load
        The things in them, stand frame.
    block : BlockSpec
        With the flare as a number.
    gaps : tuple of Gap
        One for each of the different things: the least over all its pockets;
        of a holder that is only foreseen, what it is to be.
    """

    pockets: tuple[PocketAttempt, ...]
    placed: tuple[Pocket, ...]
    loads: tuple[Load, ...]
    block: BlockSpec
    holder: Holder
    gaps: tuple[Gap, ...]

    @property
    def shorts_mm(self) -> tuple[float, ...]:
        """By how much each thing's gap falls short of what is wanted; negative where it does not."""
        return tuple(
            pocket.wanted.least_mm - gap.least_mm for pocket, gap in zip(self.pockets, self.gaps, strict=True)
        )


def holder_attempt(row: Row, pockets: Sequence[PocketAttempt]) -> HolderAttempt:
    """The holder for a row at one attempt, its gaps measured.

    Raises
    ------
    GeometryError
        If the block, its openings or its plate are impossible, or a thing does
        not get past the plate.
    """
    attempt = assembled(row, pockets)
    gaps = tuple(
        _gap(one, row.pockets_of(n, attempt.placed), attempt.holder) for n, one in enumerate(pockets)
    )
    return replace(attempt, gaps=gaps)


def assembled(row: Row, pockets: Sequence[PocketAttempt]) -> HolderAttempt:
    """The holder for a row at one attempt, the gap around each thing taken to be what was asked for; errors as for `holder_attempt`."""
    project = row.project
    in_order = [pockets[n] for n in row.order]
    placed = put_in_row(
        [one.pocket for one in in_order], [one.model.body.mesh for one in in_order], gap_mm=row.gap_mm
    )
    loads = tuple(seated_load(one.load, pocket) for pocket, one in zip(placed, in_order, strict=True))
    block = flared_block(
        placed, block=project.block, loads=loads, density_g_cm3=project.printer.solid_density_g_cm3
    )
    holder = make_holder(
        placed,
        block=block,
        openings=project.openings,
        under=frozen([load.centre_mm[:2] for load in loads]),
        plate=project.plate,
        line_mm=project.printer.line_mm,
    )
    for pocket, one in zip(placed, in_order, strict=True):
        _check_way_out(one, pocket, holder)
    return HolderAttempt(
        pockets=tuple(pockets),
        placed=placed,
        loads=loads,
        block=block,
        holder=holder,
        gaps=tuple(Gap(least_mm=one.wanted.least_mm, at_least=True) for one in pockets),
    )


def _check_way_out(attempt: PocketAttempt, pocket: Pocket, holder: Holder) -> None:
    if holder.plate is not None:
        thing = transformed(attempt.body.solid, pocket.stand_from_thing)
        check_way_out(
            holder.plate, thing, direction=pocket.direction, clearance_mm=attempt.wanted.greatest_mm
        )


def _gap(attempt: PocketAttempt, pockets: Sequence[Pocket], holder: Holder) -> Gap:
    """The least gap of a thing in all its pockets."""
    held = _held(attempt)
    things = [transformed(held, pocket.stand_from_thing) for pocket in pockets]
    seated = moved(union(things, where="body"), (0.0, 0.0, holder.lift_mm))
    return least_gap(holder, seated, clearance=attempt.wanted)


def _held(attempt: PocketAttempt) -> Solid:
    """The thing; where less clearance is asked for above the rim than in the holder, without what lies above: it may come nearer."""
    body, wanted = attempt.body.solid, attempt.wanted
    above = wanted.clearances_mm[wanted.heights_mm > wanted.held_to_mm]
    if not len(above) or above.min() >= wanted.least_mm:
        return body
    return layer(body, low_mm=lowest_mm(body), high_mm=wanted.held_to_mm, where="body")
