"""The clearance on its way through the rooms: what is asked for, what the file gets, what test rings are cut for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from cradle.fit.advice import MOST_CLEARANCE_MM, Advice, advised_clearance
from cradle.fit.between_clearance import MOST_BETWEEN_MM, between_clearance_mm
from cradle.fit.trial_findings import MOST_CORRECTION_MM
from cradle.fit.trials import corrected
from cradle.noun import noun
from cradle.pocket.clearance import ClearanceProfile, clearance_profile
from cradle.project.convert import AUTO
from cradle.project.project import Project
from cradle.project.trial_log import Trial
from cradle.result.rings_to_try import clearances_to_try
from cradle.result.thing_model import ThingModel


@noun
class AskedClearance:
    """The clearance per side that is asked for, and the gap that the holder's file gets.

    Attributes
    ----------
    profile : ClearanceProfile
        What is asked for, before trials add to it.
    advice : Advice or None
        Where the program chose it.
    in_file : ClearanceProfile
        With what trials taught, the lining and the printer's stated inside error.
    """

    profile: ClearanceProfile
    advice: Advice | None
    in_file: ClearanceProfile


def ring_clearances_mm(model: ThingModel, *, asked: AskedClearance | None = None) -> tuple[float, ...]:
    """The clearances that test rings are cut for: the project's, else about the holder's own, ``asked``, where it is least."""
    if model.project.test_pieces.clearances_mm:
        return model.project.test_pieces.clearances_mm
    asked = asked or asked_clearance(model)
    return clearances_to_try(
        model.project, asked=asked.profile, wanted=asked.in_file, trials=model.learned.trials
    )


def greatest_gap_mm(project: Project, *, trials: Sequence[Trial]) -> float:
    """The largest gap that the project may ask for, by what is known before the loft, mm."""
    fit = project.fit
    values = [s.clearance_mm for s in project.sections if s.clearance_mm is not None]
    values.append(MOST_CLEARANCE_MM if fit.clearance_mm == AUTO else float(fit.clearance_mm))
    between = MOST_BETWEEN_MM if fit.asked_between_mm == AUTO else float(fit.asked_between_mm)
    learned = MOST_CORRECTION_MM if trials else 0.0
    return max(values) + project.added_in_file_mm + between + learned


def asked_clearance(model: ThingModel, *, clearance_mm: float | None = None) -> AskedClearance:
    """What a thing's project asks for at each section, and what its file gets.

    A value given here counts for all sections.
    """
    project, learned = model.project, model.learned
    fit = project.fit
    given = [None if clearance_mm is not None else s.clearance_mm for s in model.sections]
    heights = [s.height_mm for s in model.sections]
    between = (
        between_clearance_mm(learned.model)
        if fit.asked_between_mm == AUTO
        else np.full(max(len(heights) - 1, 0), float(fit.asked_between_mm))
    )
    default = clearance_mm if clearance_mm is not None else fit.clearance_mm
    if default == AUTO:
        advice = advised_clearance(
            learned.model,
            goal=project.chance_of_each,
            given_mm=given,
            added_mm=learned.corrections_mm,
            between_mm=between,
        )
        profile = advice.asked
    else:
        advice = None
        profile = clearance_profile(
            heights,
            given,
            default_mm=float(default),
            between_mm=between,
            held_to_mm=learned.model.places.held_to_mm,
        )
    with_trials = replace(profile, clearances_mm=corrected(profile.clearances_mm, learned))
    in_file = with_trials.wider_by(project.added_in_file_mm)
    return AskedClearance(profile=profile, advice=advice, in_file=in_file)
