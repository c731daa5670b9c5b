"""From the bodies to the holder: foreseen first, then cut, measured, and cut again until the clearance is there."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TypeAlias

import numpy as np

from cradle.pipeline.evaluation import evaluate
from cradle.pipeline.foresight import rough_holder
from cradle.pipeline.holder_attempt import HolderAttempt, holder_attempt
from cradle.pipeline.modelling import OnStep, ignore_step
from cradle.pipeline.row import Row, model_row
from cradle.pipeline.steps import PLAIN, Steps
from cradle.project.project import Project
from cradle.project.trial_log import Trial
from cradle.result.made_holder import MadeHolder
from cradle.tolerances import DEFAULT

OnForeseen: TypeAlias = Callable[[HolderAttempt], None]
"""Told the holder as foreseen, long before it is made."""

_ATTEMPTS = 6
_USED = 0.95
"""A gap may use up this part of the tolerance before its pocket is made again."""
_LEAST_GAIN = 0.02
"""A pocket that gains less than this part of what it was widened by is not made again: something else is in the way, such
as a skin that crosses itself."""


def make(
    project: Project,
    *,
    trials: Mapping[Path, Sequence[Trial]] | None = None,
    clearance_mm: float | None = None,
    on_step: OnStep | None = None,
) -> MadeHolder:
    """The holder for a project, at the project's clearance or another one."""
    row = model_row(project, trials=trials, on_step=on_step)
    return build(row, clearance_mm=clearance_mm, on_step=on_step)


def build(
    row: Row,
    *,
    clearance_mm: float | None = None,
    steps: Steps = PLAIN,
    on_step: OnStep | None = None,
    on_foreseen: OnForeseen | None = None,
) -> MadeHolder:
    """The holder around the modelled things.

    It is foreseen first, so that what is impossible is told at once. Then the
    pockets are made, measured in the finished holder, and made again a little
    wider if facets have cost more of the clearance than the tolerance, as long
    as that helps.

    Raises
    ------
    GeometryError
        If the clearance, the withdrawal or the block is impossible.
    """
    begin = on_step or ignore_step
    enough = _USED * DEFAULT.clearance_mm
    rough = rough_holder(row, clearance_mm=clearance_mm, steps=steps, on_step=on_step)
    if on_foreseen is not None:
        on_foreseen(rough)
    unfinished = rough.pockets
    del rough  # its block takes as much memory as the finished one
    begin("cutting the pocket")
    pockets = [steps.finish(pocket) for pocket in unfinished]
    del unfinished
    begin("building the holder")
    attempt = holder_attempt(row, pockets)
    before_mm = (np.inf,) * len(pockets)
    for _ in range(_ATTEMPTS - 1):
        shorts_mm = attempt.shorts_mm
        again = [
            enough < short <= (1 - _LEAST_GAIN) * before
            for short, before in zip(shorts_mm, before_mm, strict=True)
        ]
        if not any(again):
            break
        begin("cutting the pocket again")
        del attempt  # its block and its pockets in their places take as much memory as those to come
        pockets = [
            steps.widen(pocket, short_mm=short) if wider else pocket
            for pocket, short, wider in zip(pockets, shorts_mm, again, strict=True)
        ]
        attempt, before_mm = holder_attempt(row, pockets), shorts_mm
    begin("judging the holder")
    return evaluate(row, attempt, assess=steps.assess)
