"""What is assumed of a thing because the project does not say it, or says what can hardly be."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from cradle.finding import About, Finding, doubt, in_unit, note
from cradle.holder.holder import Holder
from cradle.loft.loft_findings import WRITE_ALL_MM
from cradle.names import listed
from cradle.result.seated_thing import SeatedThing
from cradle.result.thing_model import ThingModel, filled_cm3
from cradle.sections.profiles import Profiles
from cradle.units import G_PER

_LIGHT_G_CM3: Final = 0.05
"""Hardly any thing is less dense than this, unless it is of foam or paper (common practice, no source)."""
_HEAVY_G_CM3: Final = 20.0
"""No material that is to be held is denser: gold has 19 (common practice, no source)."""
_MOST_BESIDE: Final = 8.0
"""A whole thing seldom weighs more than this many times its measured part, as a hammer held by its handle does (no source)."""


def assumption_findings(thing: SeatedThing, holder: Holder) -> tuple[Finding, ...]:
    """What is said of a mass that is not given, too small or too large, of sides that nothing shows, and of several things taken to be alike."""
    return (*_mass(thing.model, holder), *_not_seen(thing.model.profiles), *_alike(thing))


def _mass(model: ThingModel, holder: Holder) -> Iterator[Finding]:
    given_g = model.project.thing.mass_g
    if given_g is not None:
        filled = filled_cm3(model)
        yield from _too_light(given_g, filled_cm3=filled)
        yield from _too_heavy(given_g, filled_cm3=filled)
        return
    taken = (
        "its weight on the wall is told as if it were"
        if holder.fixed_to_wall
        else "the tipping check assumes it is"
    )
    yield note(
        "mass-assumed",
        f"the thing's mass is not given: {taken} as dense as water (1 g/cm³)",
        "weigh it",
        where="object.mass",
    )


def _too_light(given_g: float, *, filled_cm3: float) -> Iterator[Finding]:
    """A warning of a mass that only foam or paper has, as where kg were meant."""
    density = given_g / filled_cm3
    if density >= _LIGHT_G_CM3:
        return
    in_kg = density * G_PER["kg"] <= _HEAVY_G_CM3
    yield doubt(
        "mass-too-small",
        f"{given_g:.3g} g is little for a thing that fills {filled_cm3:.3g} cm³: only foam or paper is so light",
        "a mass is in g"
        + (f", and {given_g:.3g} kg are {given_g * G_PER['kg']:.4g}" if in_kg else "")
        + "; if it is right, leave it",
        about=About.HOLDER,
        where="object.mass",
        **in_unit("g/cm³", density, limit=_LIGHT_G_CM3),
    )


def _too_heavy(given_g: float, *, filled_cm3: float) -> Iterator[Finding]:
    """A warning of a mass that no thing of that size has, as where all lengths are in cm."""
    density, most = given_g / filled_cm3, _HEAVY_G_CM3 * _MOST_BESIDE
    if density <= most:
        return
    yield doubt(
        "mass-too-large",
        f"{given_g:.4g} g is far too much for a thing whose measured part fills {filled_cm3:.3g} cm³",
        f"a mass is in g; {WRITE_ALL_MM}",
        about=About.HOLDER,
        where="object.mass",
        **in_unit("g/cm³", density, limit=most),
    )


def _not_seen(profiles: Profiles) -> Iterator[Finding]:
    """A handle between two sections is on none of them; how far things swell out there is in the chance of fit."""
    unseen = profiles.unseen
    if not unseen:
        return
    yield note(
        "sides-not-seen",
        f"no profile and no view shows the thing's {listed(unseen)} side"
        f"{'s' if len(unseen) > 1 else ''}: a handle or a knob that sticks out there between two sections would"
        " not go in; the chance of fit does not include this",
        "look at the thing: where something sticks out, measure one more section through it",
        where="side",
    )


def _alike(thing: SeatedThing) -> Iterator[Finding]:
    if len(thing.pockets) == 1:
        return
    yield note(
        "taken-as-alike",
        f"the {len(thing.pockets)} things in pockets {listed([str(number) for number in thing.numbers])} are taken to be alike",
        "measure the largest of them, or give each a project file of its own under row.things",
        where="row",
    )
