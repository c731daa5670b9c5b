"""What the page shows of a holder, as JSON data: meshes, the chance over the clearance, findings, figures, cautions."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

import numpy as np

from cradle.finding import Finding
from cradle.fit.chance import Cause, cause_at
from cradle.fit.uncertainties import PLAIN_WORDS
from cradle.geometry.mesh import TriMesh, bounds_mm
from cradle.geometry.solid import mesh_of
from cradle.page.error_text import finding_data
from cradle.page.jobs import Json
from cradle.page.plain_words import plain_words
from cradle.pipeline.holder_attempt import HolderAttempt
from cradle.pipeline.row import Row
from cradle.report.doubts import Doubt, doubts_about, seeing_to
from cradle.report.facts import gap_words, measured_facts
from cradle.report.gap_map import gap_maps, things_with_gaps
from cradle.report.in_brief import in_brief
from cradle.report.recommendation import recommendation
from cradle.report.shown_mesh import beside, light_mesh, packed, shown, shown_body
from cradle.result.made_holder import MadeHolder
from cradle.result.seated_thing import SeatedThing

_MOST_CAUSES: Final = 12
"""The cause is found at no more places of the curve of the chance."""


def body_data(row: Row) -> Json:
    """The project's own thing as modelled, standing as it was measured: there long before the holder."""
    own = row.things[0]
    return {"stage": "body", "thing": packed(shown_body(own.body)), "name": own.name}


def rough_data(attempt: HolderAttempt, row: Row) -> Json:
    """The holder at the first attempt, and the things in it: not measured yet."""
    data: Json = {"stage": "rough", "size": _size(mesh_of(attempt.holder.solid))}
    light = light_mesh(attempt.holder.solid)
    if light is not None:
        data["holder"] = packed(shown(light))
    bodies = [
        shown_body(row.things[n].body).moved(attempt.holder.print_from_thing(placed))
        for n, placed in zip(row.order, attempt.placed, strict=True)
    ]
    data["thing"] = packed(beside(bodies))
    return data


def holder_data(made: MadeHolder) -> Json:
    """All that is shown of a finished holder."""
    own = made.own
    chance = own.assessment.chance
    light = light_mesh(made.holder.solid)
    data: Json = {
        "stage": "done",
        "name": made.name,
        "clearance_words": made.clearance_words,
        "thing_name": own.model.name if len(made.things) > 1 else "it",
        "chance": chance.chance,
        "curve": _curve(own),
        "asked": round(own.clearance.least_mm, 4),
        "taken": {
            "fit.clearance": float(own.clearance.least_told),
            "block.height": made.project.block.height_mm,
            "block.chamfer": made.project.block.chamfer_mm,
            "block.lead_in": made.project.block.lead_in_mm,
        },
        "goal": made.project.chance_of_each,
        "lined": made.project.fit.lining_mm > 0,
        "cause": _cause(chance.cause),
        "causes": [],
        "verdict": _verdict(made),
        "cautions": [plain_words(words) for words in made.cautions],
        "figures": [*measured_facts(made), ("mass printed solid", f"{made.mass_g:.0f} g")],
        "gap_words": gap_words(made),
        "findings": [_finding(f, made) for f in in_brief(made.findings)],
        "size": _size(made.holder.mesh),
        "thing": things_with_gaps(
            made, [shown_body(thing.model.body) for thing in made.things], gap_maps(made)
        ),
    }
    if light is not None:
        data["holder"] = packed(shown(light))
    return data


def _verdict(made: MadeHolder) -> Json:
    """What is advised, why, and the doubts it rests on."""
    advice, doubts = recommendation(made), doubts_about(made)
    return {
        "advised": str(advice.advised),
        "kind": advice.advised.name.lower(),
        "odds": f"chance of fit {made.chance_words}",
        "reason": plain_words(advice.reason),
        "begin": advice.section_mm,
        "points": [_doubt(doubt, made) for doubt in doubts],
        "first": list(seeing_to(doubts)),
    }


def _curve(thing: SeatedThing) -> list[list[float]]:
    """Clearances and the chance at each, the holder's own among them."""
    chance = thing.assessment.chance
    points = {round(c, 4): p for c, p in chance.curve} | {round(thing.clearance.least_mm, 4): chance.chance}
    return [[c, round(p, 5)] for c, p in sorted(points.items())]


def _size(mesh: TriMesh) -> list[list[float]]:
    return np.round(bounds_mm(mesh), 3).tolist()


def _finding(finding: Finding, made: MadeHolder) -> dict[str, Any]:
    """A finding, its place in the print frame; ``own`` says whether it is about what stands in this project."""
    own = finding.concerns(made.own.label)
    at = None
    if finding.place_mm is not None:
        thing = made.own if own else next(one for one in made.things if one.label in finding.things)
        at = np.round((thing.places(made.holder)[0] @ np.append(finding.place_mm, 1.0))[:3], 2).tolist()
    return finding_data(finding) | {"at": at, "own": own, "begin": finding.section_mm if own else None}


def _doubt(doubt: Doubt, made: MadeHolder) -> dict[str, Any]:
    """A doubt in the report's words, and its place in the print frame."""
    told = {"place": doubt.place, "message": plain_words(doubt.message), "advice": plain_words(doubt.advice)}
    return _finding(doubt.finding, made) | told


def causes(thing: SeatedThing, begin: Callable[[str], None]) -> list[dict[str, object]]:
    """What makes the thing too tight, along the curve of its chance; between two places of one cause this is taken to hold.

    ``begin`` is told before each is sought, for one takes some hundredths of a second.
    """
    chance, asked = thing.assessment.chance, thing.clearance.least_mm
    clearances = [c for c, p in chance.curve if p < 1.0]
    found: dict[int, dict[str, object]] = {}
    spans = [(0, len(clearances) - 1)] if clearances else []
    while spans and len(found) < _MOST_CAUSES:
        first, last = spans.pop(0)
        for n in (first, last):
            if n not in found:
                begin("finding what is too tight")
                cause = cause_at(thing.model.learned.model, chance, wider_mm=clearances[n] - asked)
                found[n] = _cause(cause) | {"clearance": round(clearances[n], 3)}
        if last - first > 1 and any(found[first][k] != found[last][k] for k in ("where", "because")):
            middle = (first + last) // 2
            spans += [(first, middle), (middle, last)]
    return [found[n] for n in sorted(found)]


def _cause(cause: Cause) -> dict[str, object]:
    return {
        "height": round(cause.height_mm, 2),
        "where": cause.where,
        "because": PLAIN_WORDS[cause.spread],
        "part": round(cause.spread_mm, 3),
    }
