"""Everything that says how sections lie, as readings with their spreads.

Each reading gives, for sections as they lie, what is left of it and how it
answers to the unknowns: five of every section, one for the error of every
section's height, one for the calipers' own error, two for each mirror plane,
one along each axis for the lean and one for the tilt of the view across it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final, TypeAlias

from cradle.geometry.arrays import Floats
from cradle.noun import noun, record
from cradle.sections.laid import Lying
from cradle.sections.posterior import PARAMETERS, ReadingKind

Terms: TypeAlias = list[tuple[int, float]]
"""Unknown and slope."""
Evaluate: TypeAlias = Callable[[Sequence[Lying], Floats], tuple[float, Terms]]
"""What is left of a reading, and how the model answers to the unknowns."""

PLAIN: Final = float("inf")
HEAVY: Final = 5.0
"""Degrees of freedom of readings by hand: a slip now and then."""
_BESIDE: Final = 9
"""Unknowns that belong to no section."""


@noun
class Observation:
    """One reading.

    ``spread`` is its standard uncertainty, ``own`` the part of that which no
    other reading shares (`cradle.sections.posterior.Reading`), ``weighed`` the spread by which it counts: all of it where
    left out. ``ends`` numbers those ends of the section (`Lying.ends`) whose
    tracing error enters.
    """

    kind: ReadingKind
    section: int
    evaluate: Evaluate
    spread: float
    own: float | None = None
    weighed: float | None = None
    freedom: float = PLAIN
    ends: tuple[int, ...] = ()


@record
class Unknowns:
    """Where each unknown stands among all."""

    sections: int

    @staticmethod
    def of(section: int, parameter: int) -> int:
        """One of a section's five (`cradle.sections.posterior.PARAMETERS`)."""
        return PARAMETERS * section + parameter

    def height(self, section: int) -> int:
        """The error of a section's height, mm."""
        return PARAMETERS * self.sections + section

    @property
    def calipers(self) -> int:
        """The calipers' own error, in limits."""
        return (PARAMETERS + 1) * self.sections

    def plane(self, axis: int) -> tuple[int, int]:
        """Turn, rad, and place, mm, of the mirror plane across x (0) or y (1)."""
        first = self.calipers + 1 + 2 * axis
        return first, first + 1

    def lean(self, axis: int) -> int:
        """How far the thing leans along x (0) or y (1), mm for each mm of height."""
        return self.calipers + 5 + axis

    def tilt(self, axis: int) -> int:
        """How far the view that shows x (0) or y (1) is tilted once set upright, rad."""
        return self.calipers + 7 + axis

    def placings(self, values: Floats) -> Floats:
        """The sections' own among all values, ``(k, 5)``, as a view."""
        return values[: PARAMETERS * self.sections].reshape(-1, PARAMETERS)

    @staticmethod
    def sections_of(count: int) -> int:
        """How many sections so many unknowns are of."""
        return (count - _BESIDE) // (PARAMETERS + 1)

    @property
    def count(self) -> int:
        """How many there are."""
        return (PARAMETERS + 1) * self.sections + _BESIDE


def of(section: int, slopes: Floats) -> Terms:
    """The slopes of a section's five unknowns where they stand among all."""
    return [(Unknowns.of(section, k), float(v)) for k, v in enumerate(slopes) if v != 0.0]


def sum_of(terms: Terms, *, value: float = 0.0) -> Evaluate:
    """A reading of a sum of unknowns, each times its slope."""

    def evaluate(lying: Sequence[Lying], values: Floats) -> tuple[float, Terms]:
        del lying
        return value - sum(slope * float(values[unknown]) for unknown, slope in terms), terms

    return evaluate
