"""What is assumed of a thing because the project does not say it."""

from __future__ import annotations

from collections.abc import Sequence

from cradle.finding import Finding, Severity
from cradle.project.project import Project
from cradle.result.seated_thing import SeatedThing


def assumption_findings(thing: SeatedThing) -> tuple[Finding, ...]:
    """Notes on a mass that is not given, and on several things taken to be alike."""
    return (*_mass(thing.model.project), *_alike(thing))


def _mass(project: Project) -> tuple[Finding, ...]:
    if project.thing.mass_g is not None:
        return ()
    return (
        Finding(
            code="mass-assumed",
            severity=Severity.NOTE,
            message="the thing's mass is not given: the tipping check assumes it is as dense as water",
            where="object.mass",
            advice="weigh it",
        ),
    )


def _alike(thing: SeatedThing) -> tuple[Finding, ...]:
    if len(thing.pockets) == 1:
        return ()
    return (
        Finding(
            code="taken-as-alike",
            severity=Severity.NOTE,
            message=f"the {len(thing.pockets)} things in pockets {_listed(thing.numbers)} are taken to be alike",
            where="row",
            advice="measure the largest of them, or give each a project file of its own under row.things",
        ),
    )


def _listed(numbers: Sequence[int]) -> str:
    *most, last = map(str, numbers)
    return f"{', '.join(most)} and {last}" if most else last
