"""What is doubtful about a wall plate: too thin, or beside a part of the thing that nobody measured."""

from __future__ import annotations

from collections.abc import Iterator

from cradle.finding import About, Finding, doubt, in_mm, note
from cradle.holder.holder import Holder, PrintFromThing
from cradle.project.project import Project
from cradle.project.side import Side
from cradle.sections.profiles import Profiles

_LEAST_PLATE_MM = 3.0
"""A thinner plate splits between its layers when it is screwed down (common practice, no source)."""


def plate_findings(holder: Holder) -> Iterator[Finding]:
    """A wall plate that is too thin; nothing without one."""
    plate = holder.plate
    if plate is None or plate.spec.thickness_mm >= _LEAST_PLATE_MM - 1e-9:
        return
    yield doubt(
        "plate-thin",
        f"the wall plate is only {plate.spec.thickness_mm:g} mm thick",
        f"make it {_LEAST_PLATE_MM:g} mm thick or more",
        about=About.HOLDER,
        where="plate.thickness",
        **in_mm(plate.spec.thickness_mm, limit=_LEAST_PLATE_MM),
    )


def beside_plate_findings(
    project: Project, *, profiles: Profiles, holder: Holder, print_from_thing: PrintFromThing
) -> Iterator[Finding]:
    """A wall plate beside a part of a thing that nobody measured.

    Parameters
    ----------
    project : Project
        The thing's.
    profiles : Profiles
        Of the thing; what they show of its front and back counts as measured.
    """
    plate = holder.plate
    if plate is None:
        return
    highest = max(project.sections[-1].height_mm, profiles.known_to_mm(Side.BACK))
    known = float(print_from_thing[2] @ [0.0, 0.0, highest, 1.0])
    top = plate.top_mm + holder.lift_mm
    if top <= max(known, holder.height_mm) + 1e-6:
        return
    yield note(
        "plate-beside-unmeasured",
        f"the wall plate rises {top - known:.0f} mm above what is known of the thing: whether it clears"
        " the plate there is not known",
        "measure a section higher up or add a view from the left or right, or see that the thing does not bulge toward the wall",
        where="plate.height",
    )
