"""What is assumed of a thing because the project does not say it."""

from __future__ import annotations

from cradle.finding import Finding, Severity
from cradle.names import listed
from cradle.project.project import Project
from cradle.result.seated_thing import SeatedThing
from cradle.sections.section import Profiles


def assumption_findings(thing: SeatedThing) -> tuple[Finding, ...]:
    """Notes on a mass that is not given, on sides that nothing shows, and on several things taken to be alike."""
    return (*_mass(thing.model.project), *_not_seen(thing.model.profiles), *_alike(thing))


def _mass(project: Project) -> tuple[Finding, ...]:
    if project.thing.mass_g is not None:
        return ()
    return (
        Finding(
            code="mass-assumed",
            severity=Severity.NOTE,
            message="the thing's mass is not given: the tipping check assumes it is as dense as water (1 g/cm³)",
            where="object.mass",
            advice="weigh it",
        ),
    )


def _not_seen(profiles: Profiles) -> tuple[Finding, ...]:
    """A handle between two sections is on none of them; how far things swell out there is in the chance of fit."""
    unseen = profiles.unseen
    if not unseen:
        return ()
    return (
        Finding(
            code="sides-not-seen",
            severity=Severity.NOTE,
            message=f"no profile and no view shows the thing's {listed(unseen)} side"
            f"{'s' if len(unseen) > 1 else ''}: a handle or a knob that sticks out there between two sections would"
            " not go in; the chance of fit does not include this",
            where="side",
            advice="look at the thing: where something sticks out, measure one more section through it, or that side's profile",
        ),
    )


def _alike(thing: SeatedThing) -> tuple[Finding, ...]:
    if len(thing.pockets) == 1:
        return ()
    return (
        Finding(
            code="taken-as-alike",
            severity=Severity.NOTE,
            message=f"the {len(thing.pockets)} things in pockets {listed([str(number) for number in thing.numbers])} are taken to be alike",
            where="row",
            advice="measure the largest of them, or give each a project file of its own under row.things",
        ),
    )
