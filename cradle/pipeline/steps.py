"""Steps whose results a caller may keep: each depends on what it is given and on nothing else.

A caller that makes many holders for a project that changes little, as the page
does, gives steps of its own that keep what came of them.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, TypeAlias

from cradle.fit.assessment import FitAssessment, assess_fit
from cradle.noun import record
from cradle.pipeline.pocket_attempt import PocketAttempt, finished_attempt, rough_attempt
from cradle.pocket.clearance import widened

RoughPocket: TypeAlias = Callable[..., PocketAttempt]
"""As `cradle.pipeline.pocket_attempt.rough_attempt`."""
FinishPocket: TypeAlias = Callable[[PocketAttempt], PocketAttempt]
"""As `cradle.pipeline.pocket_attempt.finished_attempt`."""
AssessFit: TypeAlias = Callable[[PocketAttempt], FitAssessment]
"""As `assessment_of`."""


def assessment_of(attempt: PocketAttempt) -> FitAssessment:
    """The assessment of the fit at the clearance that an attempt's file gets, less the printer's stated inside error."""
    project = attempt.model.project
    return assess_fit(
        attempt.model.learned,
        widened(attempt.wanted, -project.printer.inside_error_mm),
        asked_mm=attempt.asked.least_mm,
        project=project,
        advice=attempt.advice,
    )


@record
class Steps:
    """What makes the parts of a holder; as they are, everything is made anew.

    Attributes
    ----------
    rough : callable
        From a thing to what it asks for and its rough pocket.
    finish : callable
        From the rough pocket to the finished one.
    assess : callable
        From what was asked for to the chance that it fits.
    """

    rough: RoughPocket = rough_attempt
    finish: FinishPocket = finished_attempt
    assess: AssessFit = assessment_of


PLAIN: Final = Steps()
