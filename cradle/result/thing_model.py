"""The thing as modelled: from its project to its body, and what that says of its weight."""

from __future__ import annotations

import numpy as np

from cradle.finding import Finding
from cradle.fit.trials import Learned
from cradle.geometry.arrays import Floats
from cradle.geometry.mesh import centroid_mm, volume_mm3
from cradle.geometry.ring import centroid, signed_area
from cradle.holder.standing import Load
from cradle.loft.body import Body
from cradle.matching.ring_stack import RingStack
from cradle.noun import noun
from cradle.project.project import Project
from cradle.sections.posterior import Posterior
from cradle.sections.profiles import Profiles
from cradle.sections.section import Section


@noun
class ThingModel:
    """One thing, modelled once for all holders around it.

    Attributes
    ----------
    project : Project
        What its own file says of the thing and its fit; block, openings and
        printer are the holder's.
    posterior : Posterior
        Where the sections lie, and how sure that is.
    direction : (3,) float64
        Unit vector along which the thing is lifted out, in its own frame: its
        pocket and its chance of fit go by the same.
    learned : Learned
        The model of the fit, with what trials have taught.
    """

    project: Project
    profiles: Profiles
    sections: tuple[Section, ...]
    posterior: Posterior
    stack: RingStack
    body: Body
    direction: Floats
    learned: Learned
    findings: tuple[Finding, ...]

    @property
    def name(self) -> str:
        """What its project calls it."""
        return self.project.thing.name


def thing_load(model: ThingModel) -> Load:
    """The thing as a load in its own frame: mass, g, and centre of mass, mm, as given or by what it fills."""
    return Load(centre_mm=_balance_mm(model), mass_g=_mass_g(model))


def filled_cm3(model: ThingModel) -> float:
    """What the thing fills, up to its stated height, cm³."""
    return (volume_mm3(model.body.mesh) + sum(volume for volume, _ in _unknown_part(model))) / 1000


def _balance_mm(model: ThingModel) -> Floats:
    """The centre of mass, ``(3,)``: as given, or the centroid of what the thing fills.

    Above what was lofted nothing is known but the stated height: up to there
    the thing is taken to go straight on, which is rather too high than too low.
    """
    given = model.project.thing.balance_mm
    if given is not None:
        return np.array(given)
    mesh = model.body.mesh
    parts = [(volume_mm3(mesh), centroid_mm(mesh)), *_unknown_part(model)]
    whole = sum(volume for volume, _ in parts)
    return sum((volume / whole * centre for volume, centre in parts), np.zeros(3))


def _mass_g(model: ThingModel) -> float:
    """The mass: as given, or that of as much water as the thing fills."""
    given = model.project.thing.mass_g
    if given is not None:
        return given
    return filled_cm3(model)


def _unknown_part(model: ThingModel) -> tuple[tuple[float, Floats], ...]:
    """Volume, mm³, and centre of the prism from the top of what was lofted to the stated height."""
    body, overall = model.body, model.project.thing.height_mm
    top = float(body.heights_mm[-1])
    if overall is None or overall <= top:
        return ()
    ring = body.rings_mm[-1]
    volume = signed_area(ring) * (overall - top)
    return ((volume, np.append(centroid(ring), (top + overall) / 2)),)
