"""The values that can be moved on the page: what they are called, where they stand, how far they go."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from cradle.project.project import Project


@dataclass(frozen=True, slots=True, kw_only=True)
class Control:
    """One value of the project file, a length in mm.

    Attributes
    ----------
    key : str
        Dotted key in the project file.
    part, field : str
        Where it stands in a `Project`.
    words : str
        What a maker calls it.
    step_mm : float
    most_mm : float or None
        Upper end of its slider; None is a number alone.
    """

    key: str
    part: str
    field: str
    words: str
    step_mm: float
    most_mm: float | None = None


CLEARANCE: Final = Control(
    key="fit.clearance",
    part="fit",
    field="clearance_mm",
    words="clearance per side",
    step_mm=0.01,
    most_mm=1.2,
)
BLOCK: Final = (
    Control(
        key="block.height", part="block", field="height_mm", words="holder height (up the thing)", step_mm=1.0
    ),
    Control(key="block.wall", part="block", field="wall_mm", words="wall", step_mm=0.1),
    Control(key="block.floor", part="block", field="floor_mm", words="floor", step_mm=0.1),
    Control(key="block.flare", part="block", field="flare_mm", words="flare, per side", step_mm=0.5),
    Control(key="block.lead_in", part="block", field="lead_in_mm", words="lead-in at the mouth", step_mm=0.1),
)
CONTROLS: Final = {control.key: control for control in (CLEARANCE, *BLOCK)}


def value_in(project: Project, control: Control) -> float | None:
    """What a project says, mm; None where it leaves the choice to the program."""
    value = getattr(getattr(project, control.part), control.field)
    return None if isinstance(value, str) else float(value)


def in_file(moved: Mapping[str, float]) -> dict[str, float]:
    """The moved values as people write them: whole millimetres without a point."""
    return {key: int(value) if float(value).is_integer() else value for key, value in moved.items()}


def change_words(project: Project, moved: Mapping[str, float]) -> str:
    """What was moved, from what to what, in words.

    Parameters
    ----------
    project : Project
        Before the change.
    moved : mapping of str to float
        New values by key, mm.
    """
    parts = []
    for key, value in moved.items():
        before = value_in(project, CONTROLS[key])
        was = "auto" if before is None else f"{before:g}"
        parts.append(f"{CONTROLS[key].words} {was} → {value:g} mm")
    return "; ".join(parts)
