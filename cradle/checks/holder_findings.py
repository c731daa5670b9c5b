"""All findings on a finished holder's shape, with places in the first thing's own frame."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from cradle.checks.bed import bed_findings
from cradle.checks.corners import corner_findings
from cradle.checks.foot import foot_findings
from cradle.checks.grip import engagement_findings, spacing_findings
from cradle.checks.material import heat_findings
from cradle.checks.openings import opening_findings
from cradle.checks.overhang import overhang_findings, overhangs
from cradle.checks.thin_features import thin_findings, thin_parts
from cradle.checks.wall_behind import behind_findings
from cradle.checks.wall_plate import beside_plate_findings, plate_findings
from cradle.checks.walls import wall_findings
from cradle.finding import Finding, of_things
from cradle.geometry.arrays import Floats
from cradle.geometry.mesh import bounds_mm
from cradle.geometry.solid import box_mm
from cradle.holder.holder import Holder, PrintFromThing
from cradle.project.project import Project
from cradle.result.measurements import Wall
from cradle.result.seated_thing import SeatedThing

_NEAR_MM = 0.05
"""A place on an opening's wall lies in it."""


def holder_findings(
    project: Project, *, things: Sequence[SeatedThing], holder: Holder, wall: Wall
) -> tuple[Finding, ...]:
    """What is doubtful about walls, floor, overhangs, thin parts, openings, size, wall plate, grip and heat."""
    printer = project.printer
    low, high = bounds_mm(holder.mesh)
    size, corner = (high - low).tolist(), (float(low[0]), float(low[1]))
    hanging = overhangs(holder.mesh)
    in_openings = openings_at(holder, [patch.place_mm for patch in hanging])
    on_print = (
        *wall_findings(wall, printer=printer, corner_mm=corner),
        *overhang_findings(hanging, openings=in_openings, printer=printer, corner_mm=corner),
        *thin_findings(
            thin_parts(holder, line_mm=printer.line_mm),
            openings=holder.openings,
            printer=printer,
            corner_mm=corner,
        ),
        *opening_findings(holder, block=project.block, printer=printer),
    )
    return (
        *in_thing_frame(on_print, print_from_thing=things[0].places(holder)[0]),
        *plate_findings(holder),
        *corner_findings(holder, block=project.block),
        *bed_findings(
            (size[0], size[1], size[2]), project=project, pockets=sum(len(thing.pockets) for thing in things)
        ),
        *of_things((thing.label, _on_one(thing, holder, block_of=project)) for thing in things),
    )


def _on_one(thing: SeatedThing, holder: Holder, *, block_of: Project) -> tuple[Finding, ...]:
    """What is doubtful about how one of the things is held."""
    project = thing.model.project
    return (
        *beside_plate_findings(
            project, profiles=thing.model.profiles, holder=holder, print_from_thing=thing.places(holder)[0]
        ),
        *behind_findings(thing, holder),
        *engagement_findings(project, clearance=thing.clearance, pocket=thing.pocket),
        *foot_findings(thing, project=block_of, holder=holder),
        *heat_findings(project),
        *spacing_findings(
            thing.model.stack, profiles=thing.model.profiles, project=project, clearance=thing.clearance
        ),
    )


def in_thing_frame(findings: Iterable[Finding], *, print_from_thing: PrintFromThing) -> tuple[Finding, ...]:
    """The findings with their places brought from the print frame to the thing's."""
    back = np.linalg.inv(print_from_thing)
    moved = []
    for finding in findings:
        if finding.place_mm is not None:
            x, y, z = (back @ np.append(finding.place_mm, 1.0))[:3].tolist()
            finding = replace(finding, place_mm=(x, y, z))
        moved.append(finding)
    return tuple(moved)


def openings_at(holder: Holder, places_mm: Sequence[tuple[float, float, float]]) -> list[str]:
    """The opening whose box each place in the print frame lies in, such as "drain 1"; "" where there is none."""
    boxes, up = list(_boxes(holder)), np.array([0.0, 0.0, holder.lift_mm])
    return [
        next((name for name, low, high in boxes if _within(np.array(place) - up, low=low, high=high)), "")
        for place in places_mm
    ]


def _within(place_mm: Floats, *, low: Floats, high: Floats) -> bool:
    return bool(((low - _NEAR_MM <= place_mm) & (place_mm <= high + _NEAR_MM)).all())


def _boxes(holder: Holder) -> Iterator[tuple[str, Floats, Floats]]:
    """Names and boxes of all openings and of the plate's holes, stand frame, the openings of the project first."""
    for opening in holder.openings:
        for cut in opening.cuts:
            yield opening.words, *box_mm(cut)
    plate = holder.plate
    if plate is not None:
        for hole in plate.outlines_mm[1:]:
            (x0, z0), (x1, z1) = hole.min(axis=0), hole.max(axis=0)
            yield "a hole of the plate", np.array([x0, plate.front_mm, z0]), np.array([x1, plate.back_mm, z1])
