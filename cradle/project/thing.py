"""``[object]``: the thing that the holder is for."""

from __future__ import annotations

from enum import StrEnum
from typing import Final

from cradle.project.convert import LEAST_SIZE_MM, Choice, Triple, length, list_of, mass, text
from cradle.project.key import Table, key, spec


class Hazard(StrEnum):
    """What about the thing asks for caution."""

    SHARP = "sharp"
    WARM = "warm"
    """It is put away warm."""
    MAINS = "mains"
    """It is plugged into the mains, or charges there."""
    WET = "wet"
    CHILD = "child"
    """It is for children, or within their reach."""


@spec
class ObjectSpec:
    """The thing."""

    name: str = key(text("a name"), default="thing")
    mass_g: float | None = key(mass(), "g; leave it out if you have no scale", default=None, start=150)
    height_mm: float | None = key(
        length(least=LEAST_SIZE_MM), "overall; tells whether the holder tips over", default=None, start=70
    )
    balance_mm: Triple | None = key(
        list_of(length(), names="x y z"),
        "x, y, z of the centre of mass; left out: the middle of the body",
        default=None,
        example=[0, 0, 33],
    )
    hazards: tuple[Hazard, ...] | None = key(
        list_of(Choice(Hazard), least=0),
        f"{' | '.join(Hazard)}: adds cautions; [] for none of them",
        default=None,
        example=["sharp", "wet"],
    )


OBJECT: Final = Table(makes=ObjectSpec)
