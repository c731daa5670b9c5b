"""All that is said of a finished holder's shape, with places in the first thing's own frame."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np

from cradle.checks.corners import corner_findings
from cradle.checks.grip import engagement_findings, spacing_findings
from cradle.checks.held import Held
from cradle.checks.openings import opening_findings
from cradle.checks.overhang import overhang_findings, overhangs
from cradle.checks.softening import heat_findings
from cradle.checks.thin_features import thin_findings, thin_parts
from cradle.checks.wall_plate import beside_plate_findings, plate_findings
from cradle.checks.walls import Wall, bed_findings, wall_findings
from cradle.finding import Finding
from cradle.geometry.arrays import Floats
from cradle.geometry.mesh import bounds_mm
from cradle.holder.holder import Holder
from cradle.project.project import Project


def shape_findings(
    project: Project, *, things: Sequence[Held], holder: Holder, wall: Wall
) -> tuple[Finding, ...]:
    """What is doubtful about walls, floor, overhangs, thin parts, openings, size, wall plate, grip and heat.

    Parameters
    ----------
    project : Project
        Whose block, openings and printer these are.
    things : sequence of Held
    holder : Holder
    wall : Wall
    """
    printer = project.printer
    size = np.ptp(bounds_mm(holder.mesh), axis=0).tolist()
    on_print = (
        *wall_findings(wall, printer=printer),
        *overhang_findings(overhangs(holder.mesh), printer=printer),
        *thin_findings(thin_parts(holder, line_mm=printer.line_mm), printer=printer),
        *opening_findings(holder, block=project.block, printer=printer),
    )
    return (
        *in_thing_frame(on_print, holder_from_object=things[0].places(holder)[0]),
        *plate_findings(holder),
        *corner_findings(holder, block=project.block),
        *bed_findings((size[0], size[1], size[2]), printer=printer),
        *(finding for held in things for finding in labelled(_on_one(held, holder), held.label)),
    )


def labelled(findings: Iterable[Finding], label: str) -> tuple[Finding, ...]:
    """The findings said of one of several things, its label before their message and advice."""
    if not label:
        return tuple(findings)
    return tuple(
        replace(f, message=f"{label}: {f.message}", advice=f"{label}: {f.advice}" if f.advice else "")
        for f in findings
    )


def _on_one(held: Held, holder: Holder) -> tuple[Finding, ...]:
    """What is doubtful about how one of the things is held."""
    asked = held.clearance.least_mm
    return (
        *beside_plate_findings(held.project, holder=holder, holder_from_object=held.places(holder)[0]),
        *engagement_findings(held.project, clearance_mm=asked),
        *heat_findings(held.project),
        *spacing_findings(held.stack, project=held.project, clearance_mm=asked),
    )


def in_thing_frame(findings: Iterable[Finding], *, holder_from_object: Floats) -> tuple[Finding, ...]:
    """The findings with their places brought from the print frame to the thing's."""
    back = np.linalg.inv(holder_from_object)
    moved = []
    for finding in findings:
        if finding.place_mm is not None:
            x, y, z = (back @ np.append(finding.place_mm, 1.0))[:3].tolist()
            finding = replace(finding, place_mm=(x, y, z))
        moved.append(finding)
    return tuple(moved)
