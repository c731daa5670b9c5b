"""Measurements of a finished holder: the gap around a thing, walls and floor, what calipers should read."""

from __future__ import annotations

from cradle.noun import record


@record
class Gap:
    """The least gap between body and holder, mm, and whether it is only known to be at least that."""

    least_mm: float
    at_least: bool


@record
class Wall:
    """The thinnest wall and floor below the mouth.

    Attributes
    ----------
    least_mm : float
        The least distance in space from the pocket to the outside, the foot's underside left out.
    height_mm : float
        Height above the resting plane where the wall is thinnest, to 2 mm or so.
    place_mm : (3,)
        The place, on the pocket's side, in the print frame.
    floor_mm : float
        From the pocket's lowest point to the bed, or to a recess from below.
    between_mm : float or None
        The least distance in space between neighbouring pockets of a row.
    """

    least_mm: float
    height_mm: float
    place_mm: tuple[float, float, float]
    floor_mm: float
    between_mm: float | None


@record
class InspectionDimension:
    """One reading on the printed holder.

    Attributes
    ----------
    height_mm : float or None
        How high above the holder's foot it is taken.
    length_mm : float
        What calipers should read.
    low_mm, high_mm : float
        Outside these it is worth a second look (`cradle.checks.inspection`).
    """

    name: str
    height_mm: float | None
    length_mm: float
    low_mm: float
    high_mm: float
