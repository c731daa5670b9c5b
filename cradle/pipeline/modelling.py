"""From the project to the body: outlines, sections, rings, loft."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from math import inf
from typing import TypeAlias

import numpy as np

from cradle.capture.outline_reader import ReadOutline
from cradle.errors import CombinedError, SectionError
from cradle.files.side_by_side import one_by_one
from cradle.finding import ordered
from cradle.fit.model import fit_model
from cradle.fit.trials import learn
from cradle.fit.uncertainties import InsideError
from cradle.geometry.arrays import Floats
from cradle.loft.body import Body
from cradle.loft.loft import loft
from cradle.loft.loft_findings import few_point_findings, flat_findings, small_findings
from cradle.matching.pooled import pooled, pooled_findings
from cradle.matching.ring_stack import RingStack
from cradle.matching.rings import match_sections
from cradle.pipeline.clearances import greatest_gap_mm
from cradle.pipeline.mistakes import placing_mistakes
from cradle.pipeline.source_findings import source_findings
from cradle.pipeline.sources import ReadEach, read_sources
from cradle.placing.place import Placed, PlaceSections, place_sections
from cradle.placing.to_place import ToPlace
from cradle.pocket.stance import (
    StandFromThing,
    block_holding_mm,
    highest_held_mm,
    needed_length_mm,
    stand_matrix,
    top_rim_height_mm,
)
from cradle.pocket.way_out import way_out
from cradle.project.project import Project
from cradle.project.section import Hollows
from cradle.project.side import Side
from cradle.project.trial_log import Trial
from cradle.result.thing_model import ThingModel
from cradle.sections.profiles import Profiles
from cradle.sections.spanned_hollows import hollow_findings, spanned
from cradle.slips.profile_doubts import too_high_profiles

OnStep: TypeAlias = Callable[[str], None]
"""Told the name of each step as it begins."""
ABOVE_MM = 0.5
"""The body is known this far above the block's top, or the topmost test piece, beyond the clearance."""


def ignore_step(_: str) -> None:
    """Tell nobody."""


def model_thing(
    project: Project,
    *,
    trials: Sequence[Trial] = (),
    printer: InsideError | None = None,
    reach_mm: float = 0.0,
    read: ReadOutline | None = None,
    each: ReadEach = one_by_one,
    place: PlaceSections = place_sections,
    on_step: OnStep = ignore_step,
) -> ThingModel:
    """The thing as modelled: its outlines read, its sections placed and matched, its body lofted.

    Parameters
    ----------
    trials : sequence of Trial
        The project's own, oldest first.
    printer : InsideError, optional
        What trials of another thing told of the printer.
    reach_mm : float
        Height up to which the body must be known, where the block is lower.
    read, each : callable
        As for `cradle.pipeline.sources.read_sources`.
    place : callable
        What places the sections.

    Raises
    ------
    ProjectError
        If outlines, profiles, views or caliper readings cannot be used, each with its line.
    LoftError
        If a section crosses itself, or profiles leave it no width.
    """
    on_step("reading outlines")
    measured = read_sources(project, read=read, each=each)
    on_step("lining up sections")
    placed = _placed(measured, project=project, place=place)
    on_step("matching points")
    together = pooled(placed.sections, trace_mm=project.spread.trace_mm)
    placed = replace(
        placed,
        sections=together.sections,
        findings=(*placed.findings, *pooled_findings(together, trace_mm=project.spread.trace_mm)),
    )
    sections, profiles = placed.sections, placed.profiles
    stack = replace(match_sections(sections), unlike_mm=tuple(together.pooling.unlike_mm.tolist()))
    on_step("lofting")
    body = _lofted(stack, project=project, profiles=profiles, reach_mm=reach_mm, trials=trials)
    on_step("estimating the fit")
    direction = way_out(body, asked=project.fit.lift_out, block=project.block)
    fit = fit_model(
        body, placed=placed, stack=stack, project=project, direction=direction, pooling=together.pooling
    )
    learned = learn(fit, trials, project=project, printer=printer)
    return ThingModel(
        project=project,
        profiles=profiles,
        sections=sections,
        posterior=placed.posterior,
        stack=stack,
        body=body,
        direction=direction,
        learned=learned,
        findings=ordered(
            (
                *source_findings(measured),
                *placed.findings,
                *too_high_profiles(profiles, overall_mm=project.thing.height_mm),
                *few_point_findings(stack, trace_mm=project.spread.trace_mm),
                *flat_findings(stack, rim_mm=project.block.height_mm),
                *small_findings(stack),
                *body.findings,
                *learned.findings,
            )
        ),
    )


def _placed(measured: ToPlace, *, project: Project, place: PlaceSections) -> Placed:
    """The sections in their places, straight across hollows that are not to be followed."""
    try:
        placed = place(measured)
    except (SectionError, CombinedError) as error:
        raise placing_mistakes(error, project=project, measured=measured) from error
    hollows = project.loft.hollows
    if hollows is Hollows.FOLLOWED:
        return placed
    across = spanned(placed.sections, trace_mm=project.spread.trace_mm, through=hollows is Hollows.SPANNED)
    return replace(placed, sections=across.sections, findings=(*placed.findings, *hollow_findings(across)))


def beside_plate_mm(project: Project) -> float:
    """How far up the holder stands beside the thing with its wall plate, mm; 0 where no height of one is given."""
    plate = project.plate
    return 0.0 if plate is None or plate.height_mm is None else plate.height_mm


def _lofted(
    stack: RingStack, *, project: Project, profiles: Profiles, reach_mm: float, trials: Sequence[Trial]
) -> Body:
    """The body, known as far up as it fills the block, however it leans.

    Above its last section it goes straight on: where its top still begins below
    the block's, what is missing there is known exactly. Beside a wall plate that
    rises above the block it is known as far as its front and back were seen.
    """
    lean = project.block.lean_deg
    top = project.block.height_mm + greatest_gap_mm(project, trials=trials) + ABOVE_MM
    depth = float(np.ptp(stack.rings_mm[:, :, 1])) if lean else 0.0
    seen = min(beside_plate_mm(project) / float(np.cos(np.radians(lean))), profiles.known_to_mm(Side.BACK))
    high = max(reach_mm, seen, needed_length_mm(top, lean_deg=lean, depth_mm=depth))
    plan, stand = _standing(stack, lean_deg=lean)
    held = highest_held_mm(plan, high_mm=inf, stand_from_thing=stand, top_mm=project.block.height_mm)
    lofted = partial(
        loft,
        stack,
        spec=project.loft,
        profiles=profiles,
        low_mm=0.0,
        rim_mm=min(held, project.thing.height_mm or inf),
        lower_block_mm=round(block_holding_mm(plan, float(stack.heights_mm[-1]), stand), 2),
    )
    body = lofted(high_mm=high)
    short = top - top_rim_height_mm(body.mesh, lean_deg=lean)
    if short <= 0:
        return body
    high = float(body.heights_mm[-1]) + short / float(np.cos(np.radians(lean))) + ABOVE_MM
    return lofted(high_mm=high)


def _standing(stack: RingStack, *, lean_deg: float) -> tuple[Floats, StandFromThing]:
    """A thing's sections seen from above, ``(n, 2)`` mm, and how it stands by these, on its lowest."""
    rings = [stack.rings_mm[0], *stack.rings_mm]
    levels = zip([0.0, *stack.heights_mm.tolist()], rings, strict=True)
    points = np.concatenate([np.insert(ring, 2, height, axis=1) for height, ring in levels])
    return points[:, :2], stand_matrix(points, lean_deg=lean_deg)
