"""What a block may have besides its outline: the form of its corners, a plate for the wall, things in a row."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class CornerForm(StrEnum):
    """What becomes of a box's upright edges."""

    ROUND = "round"
    CUT = "cut"
    """Cut back at 45 degrees, by the corner's measure along either side."""


class PlateHole(StrEnum):
    """What a wall plate is fixed by; the screws' heads lie in front of it."""

    SCREW = "screw"
    """A plain clearance hole."""
    COUNTERSUNK = "countersunk"
    """A clearance hole with a 90 degree countersink in front."""
    KEYHOLE = "keyhole"
    """A slot right through with an entry for the head below: hung up, not screwed down."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateSpec:
    """A plate flush with the back of a box, standing on the bed as the block does."""

    width_mm: float
    height_mm: float | None = None
    """From the foot up; None is as high as the block."""
    thickness_mm: float = 4.0
    corner_mm: float = 4.0
    """Radius of its two upper corners; the lower ones stand on the bed."""
    hole: PlateHole = PlateHole.COUNTERSUNK
    screw: str | None = None
    diameter_mm: float | None = None
    """Of the hole (keyhole: of the screw's shank) where the screw is not in the table."""
    head_mm: float | None = None
    edge_mm: float | None = None
    """From the plate's edges to the middles of the outermost holes; None leaves room for the heads."""
    spacing_mm: tuple[float, float] | None = None
    """Between holes, across and up, 0 for a single one; the upper row lies ``edge_mm`` below the top.

    None puts a hole in every corner that the block leaves free.
    """


@dataclass(frozen=True, slots=True, kw_only=True)
class RowSpec:
    """Things side by side in one block, from left to right; each has its own pocket."""

    count: int = 1
    """How many of the project's own thing there are."""
    things: tuple[str, ...] = ()
    """Project files of other things, to the right of it.

    Of these the thing, its sections and its fit count; block, openings and
    printer are those of the project that names them.
    """
    gap_mm: float | None = None
    """What is left between neighbouring pockets where they are widest; None is the block's wall."""
