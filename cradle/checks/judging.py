"""All that is said of a finished holder's shape, with places in the thing's own frame."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from cradle.checks.engagement import engagement_findings, spacing_findings
from cradle.checks.features import thin_findings, thin_parts
from cradle.checks.heat import heat_findings
from cradle.checks.openings import opening_findings
from cradle.checks.overhang import overhang_findings, overhangs
from cradle.checks.wall_plate import plate_findings
from cradle.checks.walls import Wall, bed_findings, wall_findings
from cradle.finding import Finding
from cradle.geometry.arrays import Floats
from cradle.geometry.mesh import bounds_mm
from cradle.holder.holder import Holder
from cradle.pocket.pocket import Pocket
from cradle.project.spec import Project
from cradle.sections.section import RingStack


def shape_findings(
    project: Project,
    *,
    stack: RingStack,
    holder: Holder,
    pocket: Pocket,
    wall: Wall,
    clearance_mm: float,
    holder_from_object: Floats,
) -> tuple[Finding, ...]:
    """What is doubtful about walls, floor, overhangs, thin parts, openings, size, wall plate, grip and heat.

    Parameters
    ----------
    project : Project
    stack : RingStack
    holder : Holder
    pocket : Pocket
    wall : Wall
    clearance_mm : float
        The least clearance asked for, per side.
    holder_from_object : (4, 4) float64
        From the thing's frame to the print frame, mm.
    """
    printer = project.printer
    size = np.ptp(bounds_mm(holder.mesh), axis=0).tolist()
    on_print = (
        *wall_findings(wall, printer=printer),
        *overhang_findings(overhangs(holder.mesh), printer=printer),
        *thin_findings(thin_parts(holder, line_mm=printer.line_mm), printer=printer),
        *opening_findings(holder, pocket, block=project.block, printer=printer),
    )
    return (
        *in_thing_frame(on_print, holder_from_object=holder_from_object),
        *bed_findings((size[0], size[1], size[2]), printer=printer),
        *plate_findings(project, holder=holder, holder_from_object=holder_from_object),
        *engagement_findings(project, clearance_mm=clearance_mm),
        *heat_findings(project),
        *spacing_findings(stack, project=project, clearance_mm=clearance_mm),
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
