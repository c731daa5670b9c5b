"""What a block may have besides its outline: the form of its corners."""

from __future__ import annotations

from enum import StrEnum


class CornerForm(StrEnum):
    """What becomes of a box's upright edges."""

    ROUND = "round"
    CUT = "cut"
    """Cut back at 45 degrees, by the corner's measure along either side."""
