"""From the bodies to the holder: the pockets cut, measured, and cut again until the clearance is there."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from cradle.holder.block import check_rim
from cradle.pipeline.assembly import assemble
from cradle.pipeline.evaluation import Made, judged
from cradle.pipeline.modelling import OnStep, silent
from cradle.pipeline.row import Row, inspect_row
from cradle.pipeline.seating import seat_of, seated_again
from cradle.project.project import Project
from cradle.project.trial_log import Trial
from cradle.tolerances import DEFAULT

_TRIES = 6
_USED = 0.8
"""A gap may use up this part of the tolerance before its pocket is made again."""


def make(
    project: Project,
    *,
    trials: Mapping[Path, Sequence[Trial]] | None = None,
    clearance_mm: float | None = None,
    on_step: OnStep | None = None,
) -> Made:
    """The holder for a project, at the project's clearance or another one."""
    row = inspect_row(project, trials=trials, on_step=on_step)
    return build(row, clearance_mm=clearance_mm, on_step=on_step)


def build(row: Row, *, clearance_mm: float | None = None, on_step: OnStep | None = None) -> Made:
    """The holder around the inspected bodies.

    The pockets are made, measured in the finished holder, and made again a
    little wider if facets have cost more of the clearance than the tolerance.

    Raises
    ------
    GeometryError
        If the clearance, the withdrawal or the block cannot be had.
    """
    say = on_step or silent
    check_rim(row.project.block, between_mm=row.gap_mm if len(row.order) > 1 else None)
    enough = _USED * DEFAULT.clearance_mm
    say("cutting the pocket")
    seats = [seat_of(inspected, clearance_mm=clearance_mm) for inspected in row.things]
    say("building the holder")
    assembly = assemble(row, seats)
    for _ in range(_TRIES - 1):
        if max(assembly.shorts_mm) <= enough:
            break
        say("cutting the pocket again")
        seats = [
            seated_again(seat, short_mm=short) if short > enough else seat
            for seat, short in zip(seats, assembly.shorts_mm, strict=True)
        ]
        assembly = assemble(row, seats)
    say("judging the holder")
    return judged(assembly)
