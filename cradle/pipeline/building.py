"""From the bodies to the holder: foreseen first, then cut, measured, and given more room where it is tight.

A rough pocket equals the finished one at the heights it is begun with, its
floor and its rim among them. That is enough to tell what block, plate, openings
and letters would hide, cut into or miss, and what is doubtful of them, in a
fraction of the time.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TypeAlias

from cradle.holder.block import check_rim
from cradle.pipeline.evaluation import evaluate
from cradle.pipeline.holder_attempt import HolderAttempt, assembled, holder_attempt
from cradle.pipeline.modelling import OnStep, ignore_step
from cradle.pipeline.pocket_attempt import roomier_attempt
from cradle.pipeline.row import Row, model_row
from cradle.pipeline.steps import PLAIN, Steps
from cradle.project.project import Project
from cradle.project.trial_log import Trial
from cradle.result.made_holder import MadeHolder
from cradle.tolerances import TOLERANCES

OnForeseen: TypeAlias = Callable[[HolderAttempt], None]
"""Told the holder as foreseen, long before it is made."""

_USED = 0.95
"""A gap may use up this part of the tolerance before more room is made for it."""
_MOST_TIMES = 6
"""Room is made so often at most: spots may be missed at first, see `cradle.pocket.room`; of one crumpled thing four times over."""


def make(
    project: Project,
    *,
    trials: Mapping[Path, Sequence[Trial]] | None = None,
    clearance_mm: float | None = None,
    on_step: OnStep = ignore_step,
) -> MadeHolder:
    """The holder for a project, at the project's clearance or another one."""
    row = model_row(project, trials=trials, on_step=on_step)
    return build(row, clearance_mm=clearance_mm, on_step=on_step)


def build(
    row: Row,
    *,
    clearance_mm: float | None = None,
    steps: Steps = PLAIN,
    on_step: OnStep = ignore_step,
    on_foreseen: OnForeseen | None = None,
) -> MadeHolder:
    """The holder around the modelled things.

    It is foreseen first, so that what is impossible is told at once. Then the
    pockets are made and measured in the finished holder; one that is tighter
    somewhere than the tolerance allows gets more room there.

    Raises
    ------
    GeometryError
        If the clearance, the withdrawal or the block is impossible.
    """
    enough = _USED * TOLERANCES.clearance_mm
    rough = rough_holder(row, clearance_mm=clearance_mm, steps=steps, on_step=on_step)
    if on_foreseen is not None:
        on_foreseen(rough)
    unfinished = rough.pockets
    del rough  # its block takes as much memory as the finished one
    on_step("cutting the pocket")
    pockets = [steps.finish(pocket) for pocket in unfinished]
    del unfinished
    on_step("building the holder")
    attempt = holder_attempt(row, pockets)
    for _ in range(_MOST_TIMES):
        tight = [short > enough for short in attempt.shorts_mm]
        if not any(tight):
            break
        on_step("making room where a pocket is tight")
        del attempt  # its block and its pockets in their places take as much memory as those to come
        pockets = [
            roomier_attempt(pocket) if lacks else pocket for pocket, lacks in zip(pockets, tight, strict=True)
        ]
        attempt = holder_attempt(row, pockets)
    on_step("judging the holder")
    return evaluate(row, attempt, assess=steps.assess)


def rough_holder(
    row: Row, *, clearance_mm: float | None = None, steps: Steps = PLAIN, on_step: OnStep = ignore_step
) -> HolderAttempt:
    """The holder around rough pockets, its gaps not measured.

    Raises
    ------
    InputError
        If the printer's inside error leaves no gap for the file.
    GeometryError
        If the clearance, the withdrawal, the block, its openings or its plate are impossible.
    """
    check_rim(row.project.block, between_mm=row.gap_mm if len(row.order) > 1 else None)
    on_step("beginning the pocket")
    pockets = [steps.rough(model, clearance_mm=clearance_mm) for model in row.things]
    on_step("trying the block around it")
    return assembled(row, pockets)


def foreseen(row: Row, *, on_step: OnStep = ignore_step) -> MadeHolder:
    """The holder around rough pockets, judged: findings and chance of fit are those that the finished one will have; errors as for `rough_holder`."""
    attempt = rough_holder(row, on_step=on_step)
    on_step("judging the holder")
    return evaluate(row, attempt)
