"""What a project file says about a view of the thing from a side."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Literal, TypeAlias

if TYPE_CHECKING:
    from cradle.project.picture_spec import PictureSource
    from cradle.project.spec import DrawingSource

FREE: Literal["free"] = "free"
Free: TypeAlias = Literal["free"]


class SeenFrom(StrEnum):
    """The side that the viewer stands on; heights run up.

    To the right runs x seen from the front, -x from the back, y from the
    right, and -y from the left.
    """

    FRONT = "front"
    BACK = "back"
    LEFT = "left"
    RIGHT = "right"


class ViewScale(StrEnum):
    """Whether the size of a view's outline counts."""

    GIVEN = "given"
    """By the drawing's unit or the picture's scale."""
    FREE = "free"
    """It is found from what calipers and sections say."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ViewSpec:
    """The closed silhouette of the thing, seen from a side."""

    seen_from: SeenFrom
    source: DrawingSource | PictureSource
    scale: ViewScale = ViewScale.GIVEN
    distance_mm: float | None = None
    """From the lens to the thing's middle; None is far away."""
    bottom_mm: float | Free = 0.0
    """Height of the outline's lowest edge, 0 where that is the resting line; FREE is to be found."""
    top_mm: float | None = None
    """Height of the outline's highest edge; None where that is anywhere, as of a view that is cut off."""
