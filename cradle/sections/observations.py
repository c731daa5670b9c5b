"""Everything that says how sections lie, as readings with their spreads.

For given placings each observation tells its residual, reading less model, and
the slopes of its model by the unknowns. These are, for every section, its five
placing values and the error of its height; for the whole thing the calipers' own
error, turn and place of both mirror planes, and along each axis the lean and the
tilt of the view that shows it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final, TypeAlias

from cradle.geometry.arrays import Floats
from cradle.noun import noun, record
from cradle.sections.laid import Lying
from cradle.sections.posterior import PARAMETERS, ReadingKind

Terms: TypeAlias = list[tuple[int, float]]
"""Pairs of an unknown's index and the model's slope by it."""
Evaluate: TypeAlias = Callable[[Sequence[Lying], Floats], tuple[float, Terms]]
"""From the sections as they lie and the values of all unknowns to a reading's residual and its model's slopes."""

PLAIN: Final = float("inf")
"""Degrees of freedom of a reading with normal errors."""
HEAVY: Final = 5.0
"""Degrees of freedom (Student's t) of readings by hand: now and then one is a slip."""
_BESIDE: Final = 9
"""How many unknowns belong to no section."""


@noun
class Observation:
    """One reading.

    ``spread`` is its standard uncertainty, ``own`` the part of that which no
    other reading shares (`cradle.sections.posterior.Reading`), ``weighed`` the
    spread by which the estimate weights it; each of the two is ``spread`` when left
    out. ``ends`` are the ends of the section, as indices into `Lying.ends`, whose
    tracing error enters the reading.
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
    """The index of each unknown in the vector of all."""

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
        """The calipers' own error, in units of its limit."""
        return (PARAMETERS + 1) * self.sections

    def plane(self, axis: int) -> tuple[int, int]:
        """Turn, rad, and place, mm, of the mirror plane across x (0) or y (1)."""
        first = self.calipers + 1 + 2 * axis
        return first, first + 1

    def lean(self, axis: int) -> int:
        """How far the thing leans along x (0) or y (1), mm for each mm of height."""
        return self.calipers + 5 + axis

    def tilt(self, axis: int) -> int:
        """The tilt that a view showing x (0) or y (1) still has after it was set upright, rad."""
        return self.calipers + 7 + axis

    def placings(self, values: Floats) -> Floats:
        """The sections' placings among the values of all unknowns, ``(k, 5)``; a view of these, no copy."""
        return values[: PARAMETERS * self.sections].reshape(-1, PARAMETERS)

    @staticmethod
    def sections_of(count: int) -> int:
        """The number of sections that have ``count`` unknowns in all."""
        return (count - _BESIDE) // (PARAMETERS + 1)

    @property
    def count(self) -> int:
        """The number of unknowns."""
        return (PARAMETERS + 1) * self.sections + _BESIDE


def of(section: int, slopes: Floats) -> Terms:
    """The slopes by a section's five unknowns, ``(5,)``, as terms; zeros are left out."""
    return [(Unknowns.of(section, k), float(v)) for k, v in enumerate(slopes) if v != 0.0]


def sum_of(terms: Terms, *, value: float = 0.0) -> Evaluate:
    """The observation that the sum of some unknowns, each times its slope, is ``value``."""

    def evaluate(lying: Sequence[Lying], values: Floats) -> tuple[float, Terms]:
        del lying
        return value - sum(slope * float(values[unknown]) for unknown, slope in terms), terms

    return evaluate
