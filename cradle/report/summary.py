"""The summary: every figure of a holder, ready for JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from cradle.checks.control import ControlDimension
from cradle.checks.held import Held
from cradle.checks.iso_286 import SOURCE
from cradle.checks.openings import fixes_to_wall
from cradle.checks.standing import Standing
from cradle.checks.walls import Wall
from cradle.finding import Finding
from cradle.fit.assessment import Verdict
from cradle.fit.trials import Learned
from cradle.geometry.mesh import bounds_mm, edge_statistics, volume_mm3
from cradle.geometry.ring import size
from cradle.holder.holder import Holder
from cradle.project.project import Project
from cradle.sections.section import Section


def summarise(
    project: Project,
    *,
    things: Sequence[Held],
    holder: Holder,
    wall: Wall,
    stands: Standing,
    mass_g: float,
    control: Sequence[ControlDimension],
    cautions: Sequence[str],
    findings: Sequence[Finding],
) -> dict[str, Any]:
    """The content of ``summary.json``: plain numbers, lists and texts, rounded to what they mean.

    Of several different things, ``things`` tells each; above them stand the
    project's own thing, the least clearance, the largest undercut, and the
    chance that all go in: the product of theirs, which is too low rather than
    too high, as they share the printer's error.
    """
    rows = [thing_row(held, holder) for held in things]
    own = rows[0]
    deepest = max(rows, key=lambda row: float(row["undercut_mm"]))
    chance = float(np.prod([held.verdict.chance.chance for held in things]))
    nearest = min(rows, key=lambda row: float(row["clearance_least_mm"]))
    return {
        "name": project.thing.name,
        "watertight": edge_statistics(holder.mesh).closed,
        "volume_cm3": _round(volume_mm3(holder.mesh) / 1000, 4),
        "triangles": len(holder.mesh.faces),
        "size_mm": [_round(v) for v in np.ptp(bounds_mm(holder.mesh), axis=0)],
        "pockets": sum(len(held.pockets) for held in things),
        "sections": own["sections"],
        "body": own["body"],
        "clearance_asked_mm": min(row["clearance_asked_mm"] for row in rows),
        "clearance_least_mm": nearest["clearance_least_mm"],
        "clearance_least_is_a_bound": nearest["clearance_least_is_a_bound"],
        "inside_error_mm": _round(project.printer.inside_error_mm),
        "wall_least_mm": _round(wall.least_mm),
        "wall_between_mm": None if wall.between_mm is None else _round(wall.between_mm),
        "floor_least_mm": _round(wall.floor_mm),
        "undercut_mm": deepest["undercut_mm"],
        "undercut_at_mm": deepest["undercut_at_mm"],
        "insertion": own["insertion"],
        "tip_angle_deg": _round(stands.tip_angle_deg, 2),
        "fixed_to_wall": fixes_to_wall(holder),
        "mass_g": _round(mass_g, 1),
        "chance_of_fit": _round(chance, 4),
        "fit": own["fit"],
        "control_dimensions": [
            {
                "name": c.name,
                "height_mm": None if c.height_mm is None else _round(c.height_mm, 2),
                "length_mm": _round(c.length_mm, 2),
                "low_mm": _round(c.low_mm, 2),
                "high_mm": _round(c.high_mm, 2),
            }
            for c in control
        ],
        "control_source": SOURCE,
        "holder_from_object": own["places"][0]["holder_from_object"],
        "things": rows,
        "cautions": list(cautions),
        "findings": [finding_row(finding) for finding in findings],
    }


def thing_row(held: Held, holder: Holder) -> dict[str, Any]:
    """One of the things: its sections and body, its clearance and fit, and where it sits."""
    body, undercut = held.body, held.pocket.undercut
    return {
        "name": held.project.thing.name,
        "sections": [section_row(section) for section in held.sections],
        "body": {
            "volume_cm3": _round(volume_mm3(body.mesh) / 1000, 4),
            "triangles": len(body.mesh.faces),
            "section_error_mm": _round(body.section_error_mm, 5),
            "extended_below_mm": _round(body.extended_mm[0]),
            "extended_above_mm": _round(body.extended_mm[1]),
        },
        "clearance_asked_mm": _round(held.clearance.least_mm),
        "clearance_least_mm": _round(held.gap.least_mm - held.project.printer.inside_error_mm, 4),
        "clearance_least_is_a_bound": held.gap.at_least,
        "undercut_mm": _round(undercut.depth_mm),
        "undercut_at_mm": None if undercut.place_mm is None else [_round(v) for v in undercut.place_mm],
        "insertion": [_round(v, 6) for v in held.insertion],
        "chance_of_fit": _round(held.verdict.chance.chance, 4),
        "fit": fit_row(held.verdict, held.learned),
        "places": [
            {"pocket": number, "holder_from_object": [[_round(v, 9) for v in row] for row in matrix]}
            for number, matrix in zip(held.numbers, held.places(holder), strict=True)
        ],
    }


def section_row(section: Section) -> dict[str, Any]:
    """One section: traced and caliper sizes, the scale applied, where it lies."""
    width, depth = size(section.points_mm)
    return {
        "name": section.name,
        "height_mm": _round(section.height_mm),
        "traced_mm": [_round(v) for v in section.traced_mm],
        "caliper_mm": [None if v is None else _round(v) for v in section.caliper_mm],
        "scale": [_round(v, 5) for v in section.scale],
        "used_mm": [_round(width), _round(depth)],
        "asymmetry_mm": None if section.asymmetry_mm is None else _round(section.asymmetry_mm),
        "clearance_mm": section.clearance_mm,
        "placed_by": str(section.placed_by),
    }


def fit_row(verdict: Verdict, learned: Learned) -> dict[str, Any]:
    """The fit: chance over clearance, what is tight and why, play, where to measure next, what trials taught."""
    chance, cause = verdict.chance, verdict.chance.cause
    return {
        "draws": chance.draws,
        "chance_uncertainty": _round(chance.uncertainty, 4),
        "curve": [{"clearance_mm": _round(c), "chance": _round(p, 4)} for c, p in chance.curve],
        "tight_at_mm": _round(cause.height_mm, 2),
        "tight_where": cause.where,
        "tight_because": str(cause.spread),
        "play_mm": _round(chance.play_mm),
        "play_deg": _round(chance.play_deg, 2),
        "measure_next_mm": None if verdict.next is None else _round(verdict.next.height_mm, 2),
        "measure_next": verdict.where_to_measure,
        "trials": learned_row(learned),
    }


def learned_row(learned: Learned) -> dict[str, Any]:
    """What trials taught: the printer's inside error before and after, and what each section's gap gets, mm."""
    return {
        "count": learned.count,
        "inside_error_before_mm": _round(learned.before.expected_mm),
        "inside_error_before_spread_mm": _round(learned.before.spread_mm),
        "inside_error_after_mm": _round(learned.after.expected_mm),
        "inside_error_after_spread_mm": _round(learned.after.spread_mm),
        "corrections": [
            {"section": name, "gap_mm": _round(value)}
            for name, value in zip(learned.model.names, learned.corrections_mm, strict=True)
        ],
    }


def finding_row(finding: Finding) -> dict[str, Any]:
    """One finding, with only the fields it has."""
    row: dict[str, Any] = {
        "code": finding.code,
        "severity": str(finding.severity),
        "message": finding.message,
    }
    if finding.where:
        row["where"] = finding.where
    for key in ("measured", "limit"):
        value = getattr(finding, key)
        if value is not None:
            row[key] = _round(value, 4)
    if finding.unit:
        row["unit"] = finding.unit
    if finding.place_mm is not None:
        row["place_mm"] = [_round(v) for v in finding.place_mm]
    if finding.advice:
        row["advice"] = finding.advice
    return row


def _round(value: float, digits: int = 3) -> float:
    return round(float(value), digits) + 0.0  # + 0.0: no minus zero
