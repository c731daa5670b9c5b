"""The fit on its way through the rooms: the model, what trials taught, the clearance asked for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from cradle.fit.advice import MOST_CLEARANCE_MM, Advice, advised_clearance
from cradle.fit.between_clearance import MOST_BETWEEN_MM, between_clearance_mm
from cradle.fit.model import fit_model
from cradle.fit.trial_findings import MOST_CORRECTION_MM
from cradle.fit.trials import Learned, corrected, learn
from cradle.geometry.arrays import Floats
from cradle.loft.body import Body
from cradle.pocket.clearance import ClearanceProfile, clearance_profile, widened
from cradle.project.convert import AUTO
from cradle.project.project import Project
from cradle.project.trial_log import Trial
from cradle.result.rings_to_try import clearances_to_try
from cradle.result.thing_model import ThingModel
from cradle.sections.posterior import Posterior
from cradle.sections.section import Profiles, RingStack, Section


def ring_clearances_mm(model: ThingModel) -> tuple[float, ...]:
    """The clearances that test rings are cut for: the project's, else about the holder's own where it is least."""
    if model.project.test_pieces.clearances_mm:
        return model.project.test_pieces.clearances_mm
    asked, _ = asked_clearance(
        model.project, sections=model.sections, learned=model.learned, clearance_mm=None
    )
    return clearances_to_try(model.project.test_pieces, asked)


def greatest_gap_mm(project: Project, *, trials: Sequence[Trial]) -> float:
    """The largest gap that the project may ask for, by what is known before the loft, mm."""
    fit = project.fit
    values = [s.clearance_mm for s in project.sections if s.clearance_mm is not None]
    values.append(MOST_CLEARANCE_MM if fit.clearance_mm == AUTO else float(fit.clearance_mm))
    between = MOST_BETWEEN_MM if fit.between_mm == AUTO else float(fit.between_mm)
    learned = MOST_CORRECTION_MM if trials else 0.0
    return max(values) + project.printer.inside_error_mm + between + learned


def learned_fit(
    project: Project,
    *,
    sections: Sequence[Section],
    posterior: Posterior,
    stack: RingStack,
    body: Body,
    profiles: Profiles,
    direction: Floats,
    trials: Sequence[Trial],
) -> Learned:
    """The model of the fit, with what the project's own trials taught."""
    model = fit_model(
        body,
        sections=sections,
        stack=stack,
        posterior=posterior,
        project=project,
        direction=direction,
        profiles=profiles,
    )
    return learn(model, trials, project=project)


def asked_clearance(
    project: Project,
    *,
    sections: Sequence[Section],
    learned: Learned,
    clearance_mm: float | None,
) -> tuple[ClearanceProfile, Advice | None]:
    """The clearance asked for at each section, and the advice where the program chose it.

    A value given here counts for all sections.
    """
    fit = project.fit
    given = [None if clearance_mm is not None else s.clearance_mm for s in sections]
    heights = [s.height_mm for s in sections]
    between = (
        between_clearance_mm(learned.model)
        if fit.between_mm == AUTO
        else np.full(max(len(heights) - 1, 0), float(fit.between_mm))
    )
    default = clearance_mm if clearance_mm is not None else fit.clearance_mm
    if default == AUTO:
        advice = advised_clearance(
            learned.model, goal=project.chance_of_each, given_mm=given, between_mm=between
        )
        return advice.profile, advice
    return clearance_profile(heights, given, default_mm=float(default), between_mm=between), None


def with_trial_corrections(
    asked: ClearanceProfile, learned: Learned, *, advice: Advice | None
) -> ClearanceProfile:
    """The clearance with what trials taught added; an advised one holds it already."""
    if advice is not None:
        return asked
    return replace(asked, clearances_mm=corrected(asked.clearances_mm, learned))


def compensated_for_printer(clearance: ClearanceProfile, project: Project) -> ClearanceProfile:
    """The gap that the holder's file gets: the clearance and the printer's stated inside error."""
    return widened(clearance, project.printer.inside_error_mm)
