"""Steps whose results a caller may keep: each depends on what it is given and on nothing else.

A caller that makes many holders for a project that changes little, as the page
does, gives steps of its own that keep what came of them.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import Final, Protocol, TypeAlias

from cradle.files.side_by_side import side_by_side
from cradle.fit.assessment import FitAssessment
from cradle.fit.uncertainties import InsideError
from cradle.noun import record
from cradle.pipeline.modelling import OnStep, ignore_step, model_thing
from cradle.pipeline.pocket_attempt import PocketAttempt, assessment_of, finished_attempt, rough_attempt
from cradle.project.project import Project
from cradle.project.trial_log import Trial
from cradle.result.thing_model import ThingModel

AssessFit: TypeAlias = Callable[[PocketAttempt], FitAssessment]
"""As `assessment_of`."""


class ModelThing(Protocol):
    """What models a thing: `model_thing`, or one that knows some already."""

    def __call__(
        self,
        project: Project,
        *,
        trials: Sequence[Trial] = (),
        printer: InsideError | None = None,
        reach_mm: float = 0.0,
        on_step: OnStep = ignore_step,
    ) -> ThingModel:
        """The thing as modelled; errors as for `model_thing`."""


class RoughPocket(Protocol):
    """What begins a thing's pocket: `rough_attempt`, or one that knows some already."""

    def __call__(self, model: ThingModel, *, clearance_mm: float | None) -> PocketAttempt:
        """What a thing asks for and its rough pocket; errors as for `rough_attempt`."""


@record
class Steps:
    """What makes the parts of a holder; as they are, everything is made anew.

    Attributes
    ----------
    model : callable
        From a project to its thing as modelled.
    rough : callable
        From a thing to what it asks for and its rough pocket.
    finish : callable
        From the rough pocket to the finished one.
    assess : callable
        From what was asked for to the chance that it fits.
    """

    model: ModelThing = model_thing
    rough: RoughPocket = rough_attempt
    finish: Callable[[PocketAttempt], PocketAttempt] = finished_attempt
    assess: AssessFit = assessment_of


PLAIN: Final = Steps()
ON_ALL_CORES: Final = Steps(model=partial(model_thing, each=side_by_side))
"""Pictures are traced in processes of their own, several at once. For a program's main module alone, which each of them loads."""
