"""Section: an outline at a height, to scale and in its place on the thing.

Terms: *traced* sizes come from the outline as captured, *caliper* readings
from the thing itself; the outline is scaled to the calipers where they exist.
"""

from __future__ import annotations

from enum import StrEnum

from cradle.geometry.arrays import Floats
from cradle.noun import noun


class PlacedBy(StrEnum):
    """What decided where a section lies."""

    GIVEN = "given"
    PROFILES = "profiles"
    VIEWS = "views"
    BOTH = "profiles, views"
    MIRROR = "mirror"
    MATCH = "match"
    DRAWING = "drawing"


@noun
class Section:
    """An outline at a height in the thing's frame.

    Attributes
    ----------
    name, height_mm
        As in the project file.
    points_mm : (n, 2) float64
        Counter-clockwise ring, scaled and placed; read-only.
    drawn_mm : (n, 2) float64 or None
        The ring as drawn, where it was changed since: hollows spanned, or pooled with others of its form; else None.
    traced_mm : (float, float)
        Width and depth before scaling.
    caliper_mm : (float or None, float or None)
        Caliper width and depth, where read.
    scale : (float, float)
        Factors applied along x and y.
    turn_deg : float
        How far the drawing was turned in all, counter-clockwise, -180 to 180.
    asymmetry_mm : float or None
        Largest distance between the outline and its mirror image; None when no
        mirror line was looked for or found.
    clearance_mm : float or None
        Clearance that overrides the project's here.
    placed_by : PlacedBy
        What decided the shift and the turn.
    exact : bool
        Given by its measures, not drawn by hand.
    """

    name: str
    height_mm: float
    points_mm: Floats
    traced_mm: tuple[float, float]
    caliper_mm: tuple[float | None, float | None] = (None, None)
    scale: tuple[float, float] = (1.0, 1.0)
    turn_deg: float = 0.0
    asymmetry_mm: float | None = None
    clearance_mm: float | None = None
    placed_by: PlacedBy = PlacedBy.DRAWING
    drawn_mm: Floats | None = None
    exact: bool = False
