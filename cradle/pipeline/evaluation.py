"""The finished holder with everything that is measured on it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial
from typing import Final

import numpy as np

from cradle.checks.assumptions import assumption_findings
from cradle.checks.cautions import cautions
from cradle.checks.clearance import clearance_findings
from cradle.checks.holder_findings import holder_findings
from cradle.checks.inspection import inspection_dimensions
from cradle.checks.material import material_findings
from cradle.checks.mesh_validity import soundness_findings
from cradle.checks.neighbours import neighbour_findings
from cradle.checks.standing import hung_findings, standing_findings
from cradle.checks.undercut import undercut_findings
from cradle.checks.walls import thinnest_wall
from cradle.finding import About, Finding, of_things, on_file, ordered
from cradle.fit.remedies import SEEN_FROM_THE_SIDE
from cradle.geometry.mesh import centroid_mm, volume_mm3
from cradle.geometry.solid import Solid, transformed
from cradle.holder.holder import Holder
from cradle.holder.standing import Load, Standing, contact_points, needed_flare_mm, standing
from cradle.pipeline.holder_attempt import HolderAttempt
from cradle.pipeline.pocket_attempt import assessment_of
from cradle.pipeline.row import Row
from cradle.pipeline.steps import AssessFit
from cradle.placing.lean import LEAN_NOT_KNOWN, lean_within
from cradle.pocket.way_out import least_undercut_mm
from cradle.project.convert import AUTO
from cradle.project.project import Project
from cradle.result.made_holder import MadeHolder, pockets_in_order
from cradle.result.seated_thing import SeatedThing
from cradle.result.thing_model import ThingModel
from cradle.tolerances import TOLERANCES

_SIDES_ASKED: Final = "profiles or views of its sides, which the fit asks for, tell this too"


def evaluate(row: Row, attempt: HolderAttempt, *, assess: AssessFit = assessment_of) -> MadeHolder:
    """The holder of an attempt, measured, with its findings and cautions; ``assess`` tells the chance that things fit."""
    holder = attempt.holder
    project = replace(row.project, block=attempt.block)
    things = tuple(_seated(row, attempt, n, assess=assess) for n in range(len(row.things)))
    wall = thinnest_wall(holder, attempt.placed, block=project.block)
    mass_g = volume_mm3(holder.mesh) / 1000 * project.printer.solid_density_g_cm3
    stands = _standing(holder, mass_g=mass_g, loads=attempt.loads)
    return MadeHolder(
        project=project,
        things=things,
        holder=holder,
        wall=wall,
        standing=stands,
        mass_g=mass_g,
        inspection=inspection_dimensions(
            holder,
            pockets_in_order(things),
            block=project.block,
            inside_error_mm=project.printer.inside_error_mm,
        ),
        cautions=cautions(
            project,
            holder,
            hazards={hazard for thing in things for hazard in thing.model.project.thing.hazards or ()},
            tip_angle_deg=stands.tip_angle_deg,
            filled_g=mass_g + sum(load.mass_g for load in attempt.loads),
        ),
        findings=ordered(
            on_file(
                (
                    *of_things((thing.label, _of_thing(thing, holder)) for thing in things),
                    *soundness_findings(holder.mesh),
                    *holder_findings(project, things=things, holder=holder, wall=wall),
                    *neighbour_findings(attempt.placed, _bodies(row, attempt)),
                    *_standing_findings(project, holder, stands, loads=attempt.loads),
                    *material_findings(project),
                ),
                project.file.name,
            )
        ),
    )


def _seated(row: Row, attempt: HolderAttempt, n: int, *, assess: AssessFit) -> SeatedThing:
    pocket, model = attempt.pockets[n], row.things[n]
    return SeatedThing(
        label=row.labels[n],
        model=model,
        clearance=pocket.asked,
        wanted=pocket.wanted,
        pockets=row.pockets_of(n, attempt.placed),
        numbers=tuple(number for number, k in enumerate(row.order, start=1) if k == n),
        gap=attempt.gaps[n],
        assessment=assess(pocket),
    )


def _standing(holder: Holder, *, mass_g: float, loads: Sequence[Load]) -> Standing:
    """How far holder and things can be tipped, standing on the table."""
    feet = holder.feet_mm
    up = np.array([0.0, 0.0, holder.lift_mm])
    return standing(
        contact_points(holder.mesh) if feet is None else feet,
        holder_centre_mm=centroid_mm(holder.mesh),
        holder_g=mass_g,
        loads=[replace(load, centre_mm=load.centre_mm + up) for load in loads],
    )


def _bodies(row: Row, attempt: HolderAttempt) -> list[Solid]:
    """The things in all pockets from left to right, stand frame."""
    return [
        transformed(attempt.pockets[n].body.solid, pocket.stand_from_thing)
        for pocket, n in zip(attempt.placed, row.order, strict=True)
    ]


def _of_thing(thing: SeatedThing, holder: Holder) -> tuple[Finding, ...]:
    """The findings on one of the things and its pockets."""
    project = thing.model.project
    return (
        *_of_model(thing),
        *clearance_findings(thing.gap, asked_mm=thing.wanted.least_mm, tolerance_mm=TOLERANCES.clearance_mm),
        *undercut_findings(
            thing.pocket,
            along_easiest_mm=None
            if project.fit.lift_out == AUTO
            else partial(least_undercut_mm, thing.model.body, block=project.block),
            lowest_section_mm=thing.model.sections[0].height_mm,
            thing_mm=project.thing.height_mm or thing.model.sections[-1].height_mm,
            lining_mm=project.fit.lining_mm,
        ),
        *thing.assessment.findings,
        *assumption_findings(thing, holder),
    )


def _of_model(thing: SeatedThing) -> Iterator[Finding]:
    """The findings on the thing as modelled; how it leans among what its fit asks for."""
    fit, model = thing.assessment, thing.model
    for told in model.findings:
        finding = told if told.code != LEAN_NOT_KNOWN else _within(told, model)
        if finding.code != LEAN_NOT_KNOWN or not finding.advice or finding.about is About.LEAN:
            yield finding
            continue
        decides = fit.chance.cause.spread in SEEN_FROM_THE_SIDE
        yield replace(
            finding,
            about=About.LEAN if decides else finding.about,
            advice=_SIDES_ASKED if fit.sides_asked else finding.advice,
        )


def _within(lean: Finding, model: ThingModel) -> Finding:
    """The finding on how the thing leans, as its holder feels it."""
    return lean_within(
        lean,
        posterior=model.posterior,
        heights_mm=[section.height_mm for section in model.sections],
        rim_mm=model.project.block.height_mm,
    )


def _standing_findings(
    project: Project, holder: Holder, stands: Standing, *, loads: Sequence[Load]
) -> Iterator[Finding]:
    if holder.fixed_to_wall:
        return hung_findings()
    wider = None
    if stands.tip_angle_deg < project.block.tip_angle_deg:
        wider = needed_flare_mm(
            holder.cavity,
            block=project.block,
            loads=loads,
            density_g_cm3=project.printer.solid_density_g_cm3,
        )
    return standing_findings(stands, asked_deg=project.block.tip_angle_deg, wider_mm=wider)
