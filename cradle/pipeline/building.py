"""From the body to the holder, measured and judged."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from cradle.checks.cautions import cautions
from cradle.checks.clearance import Gap, clearance_findings, least_gap, seated, undercut_findings
from cradle.checks.control import ControlDimension, control_dimensions
from cradle.checks.flare import flared_block, needed_flare_mm
from cradle.checks.judging import shape_findings
from cradle.checks.openings import feet_points, fixes_to_wall
from cradle.checks.soundness import soundness_findings
from cradle.checks.standing import Standing, contact_points, hung_findings, standing, standing_findings
from cradle.checks.walls import Wall, thinnest_wall
from cradle.finding import Finding, Severity, ordered
from cradle.fit.advice import Advice
from cradle.fit.verdict import Verdict, verdict
from cradle.geometry.arrays import Floats
from cradle.geometry.mesh import centroid_mm, volume_mm3
from cradle.geometry.solid import moved, solid
from cradle.holder.block import check_rim
from cradle.holder.holder import Holder, make_holder
from cradle.holder.wall_plate import check_way_out
from cradle.loft.body import Body
from cradle.pipeline.fitting import asked_clearance, gap_in_file, taught
from cradle.pipeline.inspection import Inspected, OnStep, inspect, silent
from cradle.pocket.clearance import ClearanceProfile, widened
from cradle.pocket.pocket import Pocket, make_pocket
from cradle.project.materials import MATERIALS, material_named
from cradle.project.spec import Project
from cradle.report.summary import summarise
from cradle.sections.section import RingStack, Section
from cradle.tolerances import DEFAULT, Tolerances

FACETS_MM = 0.008
"""A pocket is made this much wider than asked, to pay for its facets."""
_TRIES = 4
_COARSE_MM = 0.03
"""A shortfall larger than this comes from levels too far apart, not from facets."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Made:
    """From the body to the holder; ``holder_from_object`` is ``(4, 4)``, mm."""

    project: Project
    sections: tuple[Section, ...]
    stack: RingStack
    body: Body
    clearance: ClearanceProfile
    pocket: Pocket
    holder: Holder
    holder_from_object: Floats
    gap: Gap
    wall: Wall
    standing: Standing
    control: tuple[ControlDimension, ...]
    verdict: Verdict
    findings: tuple[Finding, ...]
    summary: dict[str, Any]


def make(project: Project, *, clearance_mm: float | None = None, on_step: OnStep | None = None) -> Made:
    """The holder for a project, at the project's clearance or another one."""
    return build(inspect(project, on_step=on_step), clearance_mm=clearance_mm, on_step=on_step)


def build(
    inspected: Inspected,
    *,
    clearance_mm: float | None = None,
    on_step: OnStep | None = None,
    tolerances: Tolerances = DEFAULT,
) -> Made:
    """The holder around an inspected body.

    The pocket is made, measured in the finished holder, and made again a
    little wider if facets have cost more of the clearance than the tolerance.

    Raises
    ------
    GeometryError
        If the clearance, the withdrawal or the block cannot be had.
    """
    say = on_step or silent
    project, body = inspected.project, inspected.body
    asked, advice = asked_clearance(
        project,
        sections=inspected.sections,
        stack=inspected.stack,
        learned=inspected.learned,
        clearance_mm=clearance_mm,
    )
    wanted = gap_in_file(taught(asked, inspected.learned, advice=advice), project)
    balance = np.append(_balance(inspected), 1.0)
    check_rim(project.block)
    thing = solid(body.mesh, where="body")
    margin, finer = FACETS_MM, 1.0
    for _ in range(_TRIES):
        say("cutting the pocket")
        pocket = make_pocket(
            body.mesh,
            clearance=widened(wanted, margin),
            insertion=project.fit.insertion,
            top_mm=project.block.height_mm,
            lead_in_mm=project.block.lead_in_mm,
            lean_deg=project.block.lean_deg,
            finer=finer,
        )
        say("building the holder")
        under = (pocket.stand_from_object @ balance)[:3]
        block = flared_block(
            pocket,
            block=project.block,
            balance_mm=under,
            thing_g=_thing_g(inspected),
            density_g_cm3=_density(project),
        )
        holder = make_holder(
            pocket,
            block=block,
            openings=project.openings,
            balance_xy=under[:2],
            plate=project.plate,
        )
        say("measuring the gap")
        matrix = holder.print_from_stand @ pocket.stand_from_object
        seat = seated(thing, matrix)
        if holder.plate is not None:
            thing = moved(seat, (0.0, 0.0, -holder.lift_mm))
            check_way_out(holder.plate, thing, direction=pocket.direction, clearance_mm=wanted.greatest_mm)
        gap = least_gap(holder, seat, clearance_mm=wanted.least_mm)
        short = wanted.least_mm - gap.least_mm
        if short <= tolerances.clearance_mm * 0.8:
            break
        if short > _COARSE_MM:
            finer *= 2
        else:
            margin += short
    return _judged(
        replace(inspected, project=replace(project, block=block)),
        asked=asked,
        advice=advice,
        wanted=wanted,
        pocket=pocket,
        holder=holder,
        matrix=matrix,
        gap=gap,
    )


def _judged(
    inspected: Inspected,
    *,
    asked: ClearanceProfile,
    advice: Advice | None,
    wanted: ClearanceProfile,
    pocket: Pocket,
    holder: Holder,
    matrix: Floats,
    gap: Gap,
) -> Made:
    """The finished holder with everything that was measured on it."""
    project, body = inspected.project, inspected.body
    wall = thinnest_wall(holder, pocket, block=project.block)
    density, thing_g = _density(project), _thing_g(inspected)
    mass_g = volume_mm3(holder.mesh) / 1000 * density
    balance = (matrix @ np.append(_balance(inspected), 1.0))[:3]
    on_feet = feet_points(holder)
    on_table = contact_points(holder.mesh) if on_feet is None else on_feet
    stands = standing(
        on_table,
        holder_centre_mm=centroid_mm(holder.mesh),
        holder_g=mass_g,
        thing_centre_mm=balance,
        thing_g=thing_g,
    )
    wider = None
    hangs = fixes_to_wall(holder)
    if not hangs and stands.tip_angle_deg < project.block.stand_deg:
        wider = needed_flare_mm(
            pocket,
            block=project.block,
            balance_mm=balance - [0.0, 0.0, holder.lift_mm],
            thing_g=thing_g,
            density_g_cm3=density,
        )
    heights = [
        (s.name, s.height_mm * matrix[2, 2] + matrix[2, 3] - holder.lift_mm) for s in inspected.sections
    ]
    control = control_dimensions(
        holder,
        pocket,
        heights_mm=heights,
        block=project.block,
        inside_error_mm=project.printer.inside_error_mm,
    )
    fits = verdict(
        inspected.learned,
        widened(wanted, -project.printer.inside_error_mm),
        project=project,
        advice=advice,
    )
    findings = ordered(
        (
            *inspected.findings,
            *clearance_findings(gap, asked_mm=wanted.least_mm, tolerance_mm=DEFAULT.clearance_mm),
            *undercut_findings(pocket, insertion=project.fit.insertion),
            *soundness_findings(holder.mesh, name="holder"),
            *shape_findings(
                project,
                stack=inspected.stack,
                holder=holder,
                pocket=pocket,
                wall=wall,
                clearance_mm=asked.least_mm,
                holder_from_object=matrix,
            ),
            *(
                hung_findings()
                if hangs
                else standing_findings(stands, asked_deg=project.block.stand_deg, wider_mm=wider)
            ),
            *fits.findings,
            *_assumed(project),
        )
    )
    summary = summarise(
        project,
        sections=inspected.sections,
        body=body,
        pocket=pocket,
        holder=holder,
        holder_from_object=matrix,
        asked_mm=asked.least_mm,
        gap=gap,
        wall=wall,
        stands=stands,
        mass_g=mass_g,
        control=control,
        learned=inspected.learned,
        verdict=fits,
        cautions=cautions(project, holder, tip_angle_deg=stands.tip_angle_deg),
        findings=findings,
    )
    return Made(
        project=project,
        sections=inspected.sections,
        stack=inspected.stack,
        body=body,
        clearance=asked,
        pocket=pocket,
        holder=holder,
        holder_from_object=matrix,
        gap=gap,
        wall=wall,
        standing=stands,
        control=control,
        verdict=fits,
        findings=findings,
        summary=summary,
    )


def _balance(inspected: Inspected) -> Floats:
    """The thing's centre of mass in its own frame: as given, or the body's centroid."""
    given = inspected.project.thing.balance_mm
    return np.array(given) if given is not None else centroid_mm(inspected.body.mesh)


def _thing_g(inspected: Inspected) -> float:
    """The thing's mass: as given, or that of as much water as its body."""
    given = inspected.project.thing.mass_g
    return given if given is not None else volume_mm3(inspected.body.mesh) / 1000


def _density(project: Project) -> float:
    return (material_named(project.printer.material) or MATERIALS["PLA"]).density_g_cm3


def _assumed(project: Project) -> tuple[Finding, ...]:
    found = []
    if project.thing.mass_g is None:
        found.append(
            Finding(
                code="mass-assumed",
                severity=Severity.NOTE,
                message="the thing's mass is not given: for the tipping check it is taken to weigh as much as water",
                where="object.mass",
                advice="weigh it",
            )
        )
    if material_named(project.printer.material) is None:
        found.append(
            Finding(
                code="material-unknown",
                severity=Severity.WARN,
                message=f"the material {project.printer.material!r} is not known: the mass is reckoned for PLA",
                where="printer.material",
                advice=f"use one of {', '.join(MATERIALS)}",
            )
        )
    return tuple(found)
