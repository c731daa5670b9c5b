"""The three kinds of tolerance, kept apart, each with its reason.

*Rounding* scales with size and covers floating point. *Modelling* is what the
program itself may change, in mm. *Measurement* is what people, tools and
printers get wrong, in mm; it belongs to `cradle.fit` and is not listed here.
"""

from __future__ import annotations

from cradle.noun import record


@record
class Tolerances:
    """Permitted errors of the program itself."""

    rounding: float = 1e-9
    """Relative to the extent: two lengths closer than this are the same."""
    duplicate_mm: float = 1e-4
    """Neighbouring outline points closer than this are one point."""
    gap_mm: float = 0.1
    """An open curve whose ends are nearer than this is closed; about a pencil line's half width."""
    chord_mm: float = 0.01
    """Largest distance between a curve and the polyline that stands for it."""
    between_mm: float = 0.03
    """Largest distance, between sections, from a loft's columns to its skin; real things leave a loft by tenths there anyway."""
    section_mm: float = 0.01
    """Largest distance between a given section and the loft at its height."""
    clearance_mm: float = 0.005
    """How much the least gap may fall below the clearance asked for."""


TOLERANCES = Tolerances()
