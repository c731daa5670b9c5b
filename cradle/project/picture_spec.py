"""What a project file says about an outline in a picture."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Final, TypeAlias

Pixel: TypeAlias = tuple[float, float]

THICKEST_MM: Final = 20.0
"""A thicker piece is no template."""


class Traced(StrEnum):
    """What of a picture is the outline."""

    PIECE = "piece"
    """The edge of a cut piece: it has the section's shape."""
    NOTCH = "notch"
    """The hollow cut into a piece, closed by its chord."""
    LINE = "line"
    """A drawn line."""


class LineEdge(StrEnum):
    """Which edge of a drawn line is meant."""

    MIDDLE = "middle"
    INSIDE = "inside"
    OUTSIDE = "outside"


class ScaleFrom(StrEnum):
    """Where a picture's scale is taken from."""

    AUTO = "auto"
    """The most trusted of all that are there: sheet, ruler, card, tag."""
    SHEET = "sheet"
    RULER = "ruler"
    CARD = "card"
    TAG = "tag"


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureSource:
    """An outline in a scan or a photograph.

    Places are in px of the upright picture, x to the right and y down from
    its upper left corner.
    """

    file: str
    shape: Traced = Traced.PIECE
    pick: int | None = None
    """Number of the piece in reading order, from 1."""
    point_px: Pixel | None = None
    """A point on the piece, in place of its number."""
    back: int | None = None
    """Notch: number of the piece whose notch is the back; ``pick`` is the front. Joined by the section's depth."""
    back_file: str | None = None
    """Notch: the picture of the back, if it is another one."""
    edge: LineEdge = LineEdge.MIDDLE
    scale: ScaleFrom = ScaleFrom.AUTO
    mm_per_px: float | None = None
    dpi: float | None = None
    from_px: Pixel | None = None
    """Two points and the distance between them, ``apart_mm``: a scale read by eye off a rule."""
    to_px: Pixel | None = None
    apart_mm: float | None = None
    distance_mm: float | None = None
    """From the lens to the paper: takes a card's thickness out, and tells how much the piece's own counts."""
    thickness_mm: float | None = None
    """Of the piece that lies on the paper: a lens sees its upper face nearer, and so larger."""
    check_mm: float | None = None
    """What a rule reads on the capture sheet's check length of 150 mm."""
