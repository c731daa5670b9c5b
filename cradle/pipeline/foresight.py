"""The holder foreseen: what can be told of it before its pockets are finished.

A rough pocket equals the finished one at the heights it is begun with, its
floor and its rim among them. That is enough to tell what block, plate, openings
and letters would hide, cut into or miss, and what is doubtful of them, in a
fraction of the time.
"""

from __future__ import annotations

from cradle.holder.block import check_rim
from cradle.pipeline.evaluation import evaluate
from cradle.pipeline.holder_attempt import HolderAttempt, assembled
from cradle.pipeline.modelling import OnStep, ignore_step
from cradle.pipeline.row import Row
from cradle.pipeline.steps import PLAIN, Steps
from cradle.result.made_holder import MadeHolder


def rough_holder(
    row: Row, *, clearance_mm: float | None = None, steps: Steps = PLAIN, on_step: OnStep = ignore_step
) -> HolderAttempt:
    """The holder around rough pockets, its gaps not measured.

    Parameters
    ----------
    clearance_mm : float or None
        In place of the project's.
    steps : Steps
        What makes its parts.

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
    """The holder around rough pockets, judged: findings and chance of fit are those that the finished one will have.

    Raises
    ------
    CradleError
        As for `rough_holder`.
    """
    attempt = rough_holder(row, on_step=on_step)
    on_step("judging the holder")
    return evaluate(row, attempt)
