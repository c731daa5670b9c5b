"""One of the things on its way into the holder: what it asks for, and its pocket as last tried."""

from __future__ import annotations

from dataclasses import dataclass, replace

from cradle.checks.held import own_load
from cradle.checks.standing import Load
from cradle.errors import InputError
from cradle.fit.advice import Advice
from cradle.pipeline.clearances import asked_clearance, gap_in_file, taught
from cradle.pipeline.modelling import Inspected
from cradle.pocket.clearance import ClearanceProfile, widened
from cradle.pocket.pocket import Pocket, make_pocket
from cradle.pocket.survey import Survey, survey
from cradle.project.project import Project

FACETS_MM = 0.008
"""A pocket is made this much wider than asked, to pay for its facets."""
_COARSE_MM = 0.03
"""A shortfall larger than this comes from levels too far apart, not from facets."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Seat:
    """What a thing asks for, and its pocket where its own frame puts it.

    ``load`` is the thing's own, in its own frame; ``margin_mm`` is how much wider than wanted the pocket is made, ``finer``
    divides the distance between its levels.
    """

    inspected: Inspected
    body: Survey
    load: Load
    asked: ClearanceProfile
    advice: Advice | None
    wanted: ClearanceProfile
    pocket: Pocket
    margin_mm: float = FACETS_MM
    finer: float = 1.0


def seat_of(inspected: Inspected, *, clearance_mm: float | None) -> Seat:
    """What a thing asks for, and its pocket at a first try."""
    project = inspected.project
    asked, advice = asked_clearance(
        project,
        sections=inspected.sections,
        learned=inspected.learned,
        clearance_mm=clearance_mm,
    )
    wanted = gap_in_file(taught(asked, inspected.learned, advice=advice), project)
    _check_left(wanted, asked, project=project)
    body = survey(inspected.body.mesh)
    return Seat(
        inspected=inspected,
        body=body,
        load=own_load(project, inspected.body),
        asked=asked,
        advice=advice,
        wanted=wanted,
        pocket=_pocket(body, wanted, inspected=inspected, margin_mm=FACETS_MM, finer=1.0),
    )


def seated_again(seat: Seat, *, short_mm: float) -> Seat:
    """The seat with a pocket that makes up for what the last one fell short by."""
    margin, finer = seat.margin_mm, seat.finer
    if short_mm > _COARSE_MM:
        finer *= 2
    else:
        margin += short_mm
    pocket = _pocket(seat.body, seat.wanted, inspected=seat.inspected, margin_mm=margin, finer=finer)
    return replace(seat, pocket=pocket, margin_mm=margin, finer=finer)


def _check_left(wanted: ClearanceProfile, asked: ClearanceProfile, *, project: Project) -> None:
    """Raise when the printer's inside error, stated or learned, leaves no gap for the file."""
    if wanted.least_mm >= 0:
        return
    raise InputError(
        f"a clearance of {asked.least_mm:g} mm per side, with the printer's inside error of"
        f" {project.printer.inside_error_mm:g} mm and what trials taught, leaves {wanted.least_mm:.3g} mm in"
        " the file; 0 or more is needed",
        where="printer.inside_error",
        hint="ask for more clearance, or measure the inside error again",
    )


def _pocket(
    body: Survey, wanted: ClearanceProfile, *, inspected: Inspected, margin_mm: float, finer: float
) -> Pocket:
    block = inspected.project.block
    return make_pocket(
        body,
        clearance=widened(wanted, margin_mm),
        direction=inspected.direction,
        top_mm=block.height_mm,
        lead_in_mm=block.lead_in_mm,
        lean_deg=block.lean_deg,
        finer=finer,
    )
