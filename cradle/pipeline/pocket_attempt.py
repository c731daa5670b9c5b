"""One of the things on its way into the holder: what it asks for, and its pocket at the last attempt."""

from __future__ import annotations

from dataclasses import replace

from cradle.errors import InputError
from cradle.fit.advice import Advice
from cradle.fit.assessment import FitAssessment, assess_fit
from cradle.holder.standing import Load
from cradle.noun import noun
from cradle.pipeline.clearances import AskedClearance, asked_clearance
from cradle.pocket.budget import error_budget
from cradle.pocket.clearance import ClearanceProfile
from cradle.pocket.pocket import BegunPocket, Pocket, begun_pocket, finished_pocket, rough_pocket
from cradle.pocket.prepared_body import PreparedBody, prepared
from cradle.pocket.room import with_room
from cradle.project.project import Project
from cradle.result.thing_model import ThingModel, thing_load


@noun
class PocketAttempt:
    """What a thing asks for, and its pocket where its own frame puts it.

    ``load`` is the thing's own, in its own frame.
    ``pocket`` is rough as long as ``begun`` is not None; `finished_attempt` finishes it.
    """

    model: ThingModel
    body: PreparedBody
    load: Load
    asked: ClearanceProfile
    advice: Advice | None
    wanted: ClearanceProfile
    begun: BegunPocket | None
    pocket: Pocket


def rough_attempt(model: ThingModel, *, clearance_mm: float | None) -> PocketAttempt:
    """What a thing asks for, and its pocket with straight walls between few heights.

    Raises
    ------
    InputError
        If the printer's inside error leaves no gap for the file.
    PocketError
        If the pocket is impossible.
    """
    project = model.project
    asked = asked_clearance(model, clearance_mm=clearance_mm)
    wanted = asked.in_file
    _check_some_left(asked, project=project)
    body = prepared(model.body.mesh)
    budget = error_budget(wanted.least_mm, faces=len(body.mesh.faces))
    begun = begun_pocket(
        body,
        clearance=wanted.wider_by(budget.margin_mm),
        direction=model.direction,
        block=project.block,
        budget=budget,
    )
    return PocketAttempt(
        model=model,
        body=body,
        load=thing_load(model),
        asked=asked.profile,
        advice=asked.advice,
        wanted=wanted,
        begun=begun,
        pocket=rough_pocket(begun),
    )


def finished_attempt(rough: PocketAttempt) -> PocketAttempt:
    """The rough attempt with its pocket finished."""
    if rough.begun is None:
        return rough
    return replace(rough, begun=None, pocket=finished_pocket(rough.begun))


def roomier_attempt(attempt: PocketAttempt) -> PocketAttempt:
    """The attempt with more room where its pocket is nearer to the thing than wanted."""
    pocket = with_room(attempt.pocket, attempt.body.solid, least_mm=attempt.wanted.least_mm)
    return replace(attempt, pocket=pocket)


def assessment_of(attempt: PocketAttempt) -> FitAssessment:
    """The assessment of the fit at the clearance that an attempt's file gets, less the lining and the printer's stated inside error."""
    project = attempt.model.project
    return assess_fit(
        attempt.model.learned,
        attempt.wanted.wider_by(-project.added_in_file_mm),
        clearance=attempt.asked,
        project=project,
        advice=attempt.advice,
    )


def _check_some_left(asked: AskedClearance, *, project: Project) -> None:
    """Raise when the printer's inside error, stated or learned, leaves no gap for the file."""
    least = int(asked.in_file.clearances_mm.argmin())
    left = float(asked.in_file.clearances_mm[least])
    if left >= 0:
        return
    raise InputError(
        f"a clearance of {asked.profile.clearances_mm[least]:g} mm per side, the printer's inside error of"
        f" {project.printer.inside_error_mm:g} mm and the trial corrections together make the pocket in the file"
        f" {-left:.3g} mm per side smaller than the thing",
        where="printer.inside_error",
        hint="ask for more clearance, or measure the inside error again",
    )
