"""The summary: every figure of a holder, ready for JSON; of what is read again, see `cradle.pipeline.printed_holder`."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields
from pathlib import PurePath
from typing import Any

from cradle.checks.inspection import SOURCE
from cradle.fit.assessment import FitAssessment
from cradle.fit.trials import Learned
from cradle.fit.tried_room import room_of
from cradle.geometry.mesh import edge_statistics, volume_mm3
from cradle.geometry.ring import size
from cradle.geometry.rounding import single_precision
from cradle.holder.holder import Holder
from cradle.pocket.undercut import Undercut
from cradle.project.trial_log import Trial
from cradle.report.finding_row import finding_row, rounded
from cradle.result.made_holder import MadeHolder
from cradle.result.seated_thing import SeatedThing
from cradle.sections.section import Section


def run_summary(mades: Sequence[MadeHolder]) -> dict[str, Any]:
    """The content of ``summary.json``: of one holder, or of several under ``holders``."""
    if len(mades) == 1:
        return summary_of(mades[0])
    return {"name": mades[0].project.thing.name, "holders": [summary_of(made) for made in mades]}


def summary_of(made: MadeHolder) -> dict[str, Any]:
    """All figures of a holder: plain numbers, lists and texts, rounded to what they mean.

    Of several different things, ``things`` tells each; above them stand the
    project's own thing, the least clearance, the largest undercut, and the
    chance that all go in.
    """
    holder, project = made.holder, made.project
    rows = [
        _thing_row(thing, file, holder) for thing, file in zip(made.things, made.project_files, strict=True)
    ]
    own, undercut = rows[0], made.most_undercut.pocket.undercut
    return {
        "name": project.thing.name,
        "project": project.file.name,
        "mesh_closed": edge_statistics(holder.mesh).closed,
        "volume_cm3": rounded(volume_mm3(holder.mesh) / 1000, 4),
        "triangles": made.triangles,
        "size_mm": [rounded(v) for v in made.size_mm],
        "pockets": sum(len(thing.pockets) for thing in made.things),
        "sections": own["sections"],
        "body": own["body"],
        "clearance_asked_mm": rounded(made.asked_mm),
        "clearance_least_mm": rounded(made.tightest.least_gap_mm, 4),
        "clearance_least_is_a_bound": made.tightest.gap.at_least,
        "inside_error_mm": rounded(project.printer.inside_error_mm),
        "wall_least_mm": rounded(made.wall.least_mm),
        "wall_between_mm": rounded(made.wall.between_mm),
        "floor_least_mm": rounded(made.wall.floor_mm),
        "undercut_mm": rounded(undercut.depth_mm),
        "undercut_at_mm": _place(undercut),
        "insertion": own["insertion"],
        "tip_angle_deg": rounded(made.standing.tip_angle_deg, 2),
        "fixed_to_wall": holder.fixed_to_wall,
        "mass_g": rounded(made.mass_g, 1),
        "chance_of_fit": rounded(made.chance, 4),
        "fit": own["fit"],
        "inspection_dimensions": [
            {"name": c.name}
            | {key: rounded(getattr(c, key), 2) for key in ("height_mm", "length_mm", "low_mm", "high_mm")}
            for c in made.inspection
        ],
        "inspection_source": SOURCE,
        "holder_from_object": own["places"][0]["holder_from_object"],
        "things": rows,
        "cautions": list(made.cautions),
        "findings": [finding_row(finding) for finding in made.findings],
    }


def _thing_row(thing: SeatedThing, file: str, holder: Holder) -> dict[str, Any]:
    """One of the things: its sections and body, its clearance and fit, and where it sits; its project's file as seen from the holder's."""
    model, undercut, assessment = thing.model, thing.pocket.undercut, thing.assessment
    body, fit = model.body, model.project.fit
    return {
        "name": model.name,
        "project": PurePath(file).as_posix(),
        "sections": [section_row(section) for section in model.sections],
        "body": {
            "volume_cm3": rounded(volume_mm3(body.mesh) / 1000, 4),
            "triangles": len(single_precision(body.mesh).faces),
            "section_error_mm": rounded(body.section_error_mm, 5),
            "extended_below_mm": rounded(body.extended_mm[0]),
            "extended_above_mm": rounded(body.extended_mm[1]),
        },
        "clearance_asked_mm": rounded(thing.clearance.least_mm),
        "clearance_least_mm": rounded(thing.least_gap_mm, 4),
        "clearance_least_is_a_bound": thing.gap.at_least,
        "lining_mm": rounded(fit.lining_mm),
        "lining_pressed_mm": rounded(fit.lining_least_mm),
        "room_mm": room_of(model.learned.model, thing.wanted),
        "undercut_mm": rounded(undercut.depth_mm),
        "undercut_at_mm": _place(undercut),
        "insertion": [rounded(v, 6) for v in thing.insertion],
        "chance_of_fit": rounded(assessment.chance.chance, 4),
        "fit": _fit_row(assessment, model.learned),
        "places": [
            {"pocket": number, "holder_from_object": [[rounded(v, 9) for v in row] for row in matrix]}
            for number, matrix in zip(thing.numbers, thing.places(holder), strict=True)
        ],
    }


def _place(undercut: Undercut) -> list[float | None] | None:
    return None if undercut.place_mm is None else [rounded(v) for v in undercut.place_mm]


def section_row(section: Section) -> dict[str, Any]:
    """One section: traced and caliper sizes, the scale applied, where it lies."""
    width, depth = size(section.points_mm)
    return {
        "name": section.name,
        "height_mm": rounded(section.height_mm),
        "traced_mm": [rounded(v) for v in section.traced_mm],
        "caliper_mm": [rounded(v) for v in section.caliper_mm],
        "scale": [rounded(v, 5) for v in section.scale],
        "used_mm": [rounded(width), rounded(depth)],
        "asymmetry_mm": rounded(section.asymmetry_mm),
        "clearance_mm": section.clearance_mm,
        "placed_by": str(section.placed_by),
    }


def _fit_row(assessment: FitAssessment, learned: Learned) -> dict[str, Any]:
    """The fit: chance over clearance, what is tight and why, play, where to measure next, what trials taught."""
    chance, cause = assessment.chance, assessment.chance.cause
    return {
        "draws": chance.draws,
        "chance_uncertainty": rounded(chance.uncertainty, 4),
        "curve": [{"clearance_mm": rounded(c), "chance": rounded(p, 4)} for c, p in chance.curve],
        "tight_at_mm": rounded(cause.height_mm, 2),
        "tight_where": cause.where,
        "tight_because": str(cause.spread),
        "play_mm": rounded(chance.play_mm),
        "play_deg": rounded(chance.play_deg, 2),
        "measure_next_mm": None if assessment.next is None else rounded(assessment.next.first_mm, 2),
        "measure_together_mm": [rounded(h, 2) for h in assessment.next.heights_mm] if assessment.next else [],
        "measure_next": assessment.where_to_measure,
        "trials": learned_row(learned),
    }


def learned_row(learned: Learned) -> dict[str, Any]:
    """What trials taught: the printer's inside error before and after, and what each section's gap gets, mm."""
    return {
        "count": len(learned.trials),
        "inside_error_before_mm": rounded(learned.before.expected_mm),
        "inside_error_before_spread_mm": rounded(learned.before.spread_mm),
        "inside_error_after_mm": rounded(learned.after.expected_mm),
        "inside_error_after_spread_mm": rounded(learned.after.spread_mm),
        "corrections": [
            {"section": name, "gap_mm": rounded(value)}
            for name, value in zip(learned.model.names, learned.corrections_mm, strict=True)
        ],
    }


def trial_row(trial: Trial) -> dict[str, Any]:
    """One trial, but for its project and room; what it does not say is None."""
    row = {f.name: getattr(trial, f.name) for f in fields(trial) if f.name not in ("project", "room")}
    return row | {"date": trial.date.isoformat(), "gap_mm": rounded(trial.gap_mm, 4)}
