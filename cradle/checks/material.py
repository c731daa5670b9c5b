"""Whether the material is known, and whether it bears the warmth of what it holds."""

from __future__ import annotations

from collections.abc import Iterator

from cradle.finding import About, Finding, doubt, in_unit
from cradle.project.materials import MATERIALS
from cradle.project.other_words import likely_meant
from cradle.project.project import Project
from cradle.project.thing import Hazard

_WARM_C = 70.0
"""A thing that is put away warm is taken to be this hot at its surface (an assumption, no source)."""


def heat_findings(project: Project) -> Iterator[Finding]:
    """A material that does not bear, with the usual margin, what a warm thing may bring."""
    material = project.printer.known_material
    if Hazard.WARM not in (project.thing.hazards or ()) or material is None:
        return
    bears = material.bears_c
    if bears is not None and bears >= _WARM_C:
        return
    what = "bends at room temperature" if bears is None else f"must stay under {bears:.0f} °C"
    yield doubt(
        "material-soft",
        f"the thing is put away warm, but {material.name} {what}",
        "print it in a material that softens later, such as ABS or ASA, or let the thing cool first",
        about=About.HOLDER,
        where="printer.material",
        **in_unit("°C", bears, limit=_WARM_C),
    )


def material_findings(project: Project) -> Iterator[Finding]:
    """A warning of a material that is not known, so that the mass is a guess."""
    if project.printer.known_material is not None:
        return
    near = likely_meant(project.printer.material, tuple(MATERIALS))
    meant = f"if it is {near}, say so; else " if near else ""
    yield doubt(
        "material-unknown",
        f"the material {project.printer.material!r} is not known: the mass is estimated for PLA",
        f"{meant}use one of {', '.join(MATERIALS)}",
        about=About.HOLDER,
        where="printer.material",
    )
