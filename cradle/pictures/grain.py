"""How long a pixel of a picture is, and how lengths in it are told: in mm, or in px where nothing tells its scale."""

from __future__ import annotations

from enum import StrEnum

from cradle.finding import Figures, in_unit
from cradle.noun import record


class LengthUnit(StrEnum):
    """What the lengths of a picture are told in."""

    MM = "mm"
    PX = "px"
    """Nothing tells the scale."""


@record
class Length:
    """A length as it is told; px are told whole.

    Examples
    --------
    >>> told = Length(value=61.3, unit=LengthUnit.MM), Length(value=613.2, unit=LengthUnit.PX)
    >>> [f"{length:.1f}" for length in told]
    ['61.3 mm', '613 px']
    """

    value: float
    unit: LengthUnit

    def __format__(self, form: str) -> str:
        return f"{self.value:{form if self.unit is LengthUnit.MM else '.0f'}} {self.unit}"


@record
class Grain:
    """The length of a pixel, mm; where the unit is px the true one is unknown, and this is assumed."""

    mm: float
    unit: LengthUnit = LengthUnit.MM

    def length(self, mm: float) -> Length:
        """A length in the picture, to be told."""
        return Length(value=mm if self.unit is LengthUnit.MM else mm / self.mm, unit=self.unit)

    def figures(self, mm: float | None = None, *, limit_mm: float | None = None) -> Figures:
        """The figures of a finding: what was measured in the picture, and the limit from which on it is told."""
        measured, limit = (None if one is None else self.length(one).value for one in (mm, limit_mm))
        return in_unit(self.unit, measured, limit=limit)
