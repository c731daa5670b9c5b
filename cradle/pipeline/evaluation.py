"""The finished holder with everything that was measured on it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from cradle.checks.cautions import cautions
from cradle.checks.clearance import clearance_findings, undercut_findings
from cradle.checks.control import ControlDimension, PocketToRead, control_dimensions
from cradle.checks.flare import needed_flare_mm
from cradle.checks.held import Held
from cradle.checks.judging import labelled, shape_findings
from cradle.checks.mesh_validity import soundness_findings
from cradle.checks.neighbours import neighbour_findings
from cradle.checks.openings import feet_points, fixes_to_wall
from cradle.checks.standing import (
    Load,
    Standing,
    contact_points,
    hung_findings,
    standing,
    standing_findings,
)
from cradle.checks.walls import Wall, thinnest_wall
from cradle.finding import Finding, Severity, ordered
from cradle.fit.assessment import verdict
from cradle.geometry.mesh import centroid_mm, volume_mm3
from cradle.geometry.solid import transformed
from cradle.holder.holder import Holder
from cradle.pipeline.assembly import Assembly
from cradle.pipeline.seating import Seat
from cradle.pocket.clearance import widened
from cradle.pocket.pocket import Pocket
from cradle.project.materials import MATERIALS, material_named, solid_density_g_cm3
from cradle.project.project import Project
from cradle.report.summary import summarise
from cradle.tolerances import DEFAULT


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Made:
    """A finished holder.

    Attributes
    ----------
    project : Project
        Its block with the flare as a number.
    things : tuple of Held
        The different things it holds, the project's own first.
    holder : Holder
    wall : Wall
    standing : Standing
    control : tuple of ControlDimension
    findings : tuple of Finding
    summary : dict
        Content of ``summary.json``.
    """

    project: Project
    things: tuple[Held, ...]
    holder: Holder
    wall: Wall
    standing: Standing
    control: tuple[ControlDimension, ...]
    findings: tuple[Finding, ...]
    summary: dict[str, Any]

    @property
    def own(self) -> Held:
        """The project's own thing."""
        return self.things[0]


def judged(assembly: Assembly) -> Made:
    """The holder with all that is said of it."""
    row, holder, placed = assembly.row, assembly.holder, assembly.placed
    project = replace(row.project, block=assembly.block)
    things = tuple(_held(assembly, n) for n in range(len(assembly.seats)))
    wall = thinnest_wall(holder, placed, block=project.block)
    mass_g = volume_mm3(holder.mesh) / 1000 * solid_density_g_cm3(project.printer.material)
    on_feet = feet_points(holder)
    up = np.array([0.0, 0.0, holder.lift_mm])
    stands = standing(
        contact_points(holder.mesh) if on_feet is None else on_feet,
        holder_centre_mm=centroid_mm(holder.mesh),
        holder_g=mass_g,
        loads=[replace(load, centre_mm=load.centre_mm + up) for load in assembly.loads],
    )
    control = control_dimensions(
        holder,
        [_to_read(pocket, things[n]) for pocket, n in zip(placed, row.order, strict=True)],
        block=project.block,
        inside_error_mm=project.printer.inside_error_mm,
    )
    bodies = [
        transformed(assembly.seats[n].body.solid, pocket.stand_from_object)
        for pocket, n in zip(placed, row.order, strict=True)
    ]
    findings = ordered(
        (
            *(f for held, seat in zip(things, assembly.seats, strict=True) for f in _of_thing(held, seat)),
            *soundness_findings(holder.mesh, name="holder"),
            *shape_findings(project, things=things, holder=holder, wall=wall),
            *neighbour_findings(placed, bodies),
            *_standing(project, holder, stands, loads=assembly.loads),
            *_material(project),
        )
    )
    hazards = {hazard for held in things for hazard in held.project.thing.hazards}
    summary = summarise(
        project,
        things=things,
        holder=holder,
        wall=wall,
        stands=stands,
        mass_g=mass_g,
        control=control,
        cautions=cautions(project, holder, hazards=hazards, tip_angle_deg=stands.tip_angle_deg),
        findings=findings,
    )
    return Made(
        project=project,
        things=things,
        holder=holder,
        wall=wall,
        standing=stands,
        control=control,
        findings=findings,
        summary=summary,
    )


def _held(assembly: Assembly, n: int) -> Held:
    row, seat = assembly.row, assembly.seats[n]
    inspected = seat.inspected
    project = replace(inspected.project, block=assembly.block)
    return Held(
        label=row.labels[n],
        project=project,
        sections=inspected.sections,
        stack=inspected.stack,
        body=inspected.body,
        learned=inspected.learned,
        clearance=seat.asked,
        wanted=seat.wanted,
        pockets=row.of(n, assembly.placed),
        numbers=tuple(number for number, k in enumerate(row.order, start=1) if k == n),
        gap=assembly.gaps[n],
        verdict=verdict(
            inspected.learned,
            widened(seat.wanted, -project.printer.inside_error_mm),
            project=project,
            advice=seat.advice,
        ),
    )


def _of_thing(held: Held, seat: Seat) -> tuple[Finding, ...]:
    """What is said of one of the things and its pockets."""
    return labelled(
        (
            *seat.inspected.findings,
            *clearance_findings(held.gap, asked_mm=held.wanted.least_mm, tolerance_mm=DEFAULT.clearance_mm),
            *undercut_findings(held.pocket, insertion=held.project.fit.lift_out),
            *held.verdict.findings,
            *_mass(held.project),
            *_alike(held),
        ),
        held.label,
    )


def _to_read(pocket: Pocket, held: Held) -> PocketToRead:
    """A pocket to measure; of several alike each is."""
    heights = held.heights_mm(pocket.stand_from_object)
    return PocketToRead(pocket=pocket, heights_mm=heights, words=held.words)


def _standing(
    project: Project, holder: Holder, stands: Standing, *, loads: Sequence[Load]
) -> tuple[Finding, ...]:
    if fixes_to_wall(holder):
        return hung_findings()
    wider = None
    if stands.tip_angle_deg < project.block.tip_angle_deg:
        wider = needed_flare_mm(
            holder.cavity,
            block=project.block,
            loads=loads,
            density_g_cm3=solid_density_g_cm3(project.printer.material),
        )
    return standing_findings(stands, asked_deg=project.block.tip_angle_deg, wider_mm=wider)


def _mass(project: Project) -> tuple[Finding, ...]:
    if project.thing.mass_g is not None:
        return ()
    return (
        Finding(
            code="mass-assumed",
            severity=Severity.NOTE,
            message="the thing's mass is not given: for the tipping check it is taken to weigh as much as water",
            where="object.mass",
            advice="weigh it",
        ),
    )


def _alike(held: Held) -> tuple[Finding, ...]:
    if len(held.pockets) == 1:
        return ()
    return (
        Finding(
            code="taken-as-alike",
            severity=Severity.NOTE,
            message=f"the {len(held.pockets)} things in pockets {_listed(held.numbers)} are taken to be alike",
            where="row",
            advice="measure the largest of them, or give each a project file of its own under row.things",
        ),
    )


def _listed(numbers: Sequence[int]) -> str:
    *most, last = map(str, numbers)
    return f"{', '.join(most)} and {last}" if most else last


def _material(project: Project) -> tuple[Finding, ...]:
    if material_named(project.printer.material) is not None:
        return ()
    return (
        Finding(
            code="material-unknown",
            severity=Severity.WARN,
            message=f"the material {project.printer.material!r} is not known: the mass is reckoned for PLA",
            where="printer.material",
            advice=f"use one of {', '.join(MATERIALS)}",
        ),
    )
