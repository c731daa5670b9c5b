"""How much clearance is asked for at each height."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import field, replace
from math import inf
from typing import Final

import numpy as np

from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.knots import interval_of, part_of_interval
from cradle.noun import noun
from cradle.units import exact_mm

STEP_MM: Final = 0.01
"""Clearances that the program chooses are multiples of this."""
_SAME_MM: Final = 1e-9
"""Clearances that differ by less are one."""


def rounded_up(clearances_mm: Floats) -> Floats:
    """Clearances brought to the next multiple of `STEP_MM`, whatever a division makes of one."""
    return np.ceil(np.round(clearances_mm / STEP_MM, 6)) * STEP_MM


@noun
class ClearanceProfile:
    """Clearance per side against height: straight between sections, and more half way where the shape is a guess.

    Attributes
    ----------
    heights_mm, clearances_mm : (k,) float64
        Rising heights and the clearance asked for there; beyond the ends the
        end value holds.
    between_mm : (k − 1,) float64
        Further clearance half way between neighbouring heights, falling to
        nothing at both as a parabola; empty for none.
    held_to_mm : float
        Height up to which the holder holds the thing: what it has above that does not count as its clearance.
    """

    heights_mm: Floats
    clearances_mm: Floats
    between_mm: Floats = field(default_factory=lambda: frozen(np.zeros(0)))
    held_to_mm: float = inf

    def at(self, heights_mm: Floats) -> Floats:
        """Clearance at each of ``(n,)`` heights, mm."""
        knots = self.heights_mm
        asked = np.interp(heights_mm, knots, self.clearances_mm)
        if not self.between_mm.any():
            return asked
        part = part_of_interval(knots, heights_mm)
        return asked + self.between_mm[interval_of(knots, heights_mm)] * 4 * part * (1 - part)

    def bends_mm(self, *, within_mm: float) -> tuple[Floats, Floats]:
        """Heights that divide the intervals so that straight lines follow the clearance within a distance; and, for each, how far apart they lie there, ``(b,)``, mm.

        Examples
        --------
        >>> profile = clearance_profile([0, 30, 40], [None] * 3, default_mm=1, between_mm=np.array([0.4, 0.0]))
        >>> [part.tolist() for part in profile.bends_mm(within_mm=0.05)]
        [[10.0, 20.0], [10.0, 10.0]]
        """
        heights, steps = [np.zeros(0)], [np.zeros(0)]
        for low, high, more in zip(self.heights_mm, self.heights_mm[1:], self.between_mm, strict=False):
            # a parabola that rises by m over its chord leaves each of n chords by m / n²
            parts = max(1, int(np.ceil(np.sqrt(float(more) / within_mm))))
            heights.append(np.linspace(low, high, parts + 1)[1:-1])
            steps.append(np.full(parts - 1, (high - low) / parts))
        return np.concatenate(heights), np.concatenate(steps)

    def wider_by(self, by_mm: float) -> ClearanceProfile:
        """The profile with the same amount added everywhere."""
        return replace(self, clearances_mm=frozen(self.clearances_mm + by_mm))

    @property
    def uneven_mm(self) -> Floats:
        """The intervals between neighbouring heights in which the clearance is not the same all along, ``(n, 2)``, mm."""
        uneven = np.diff(self.clearances_mm) != 0
        if len(self.between_mm):
            uneven |= self.between_mm != 0
        return np.column_stack([self.heights_mm[:-1], self.heights_mm[1:]])[uneven]

    @property
    def least_mm(self) -> float:
        """The smallest clearance asked for where the holder holds the thing."""
        return float(self.held().clearances_mm.min())

    @property
    def least_told(self) -> str:
        """The smallest clearance asked for as text, mm: as it was asked for; in hundredths where it is that at a rim between two heights.

        Examples
        --------
        >>> clearance_profile([0, 30], [0.125, 0.4], default_mm=0).least_told
        '0.125'
        >>> clearance_profile([0, 30], [1.0, 0.4], default_mm=0, held_to_mm=20.3).least_told
        '0.59'
        """
        least = self.least_mm
        as_asked = np.isclose(self.clearances_mm, least, rtol=0, atol=_SAME_MM).any()
        return exact_mm(least if as_asked else round(least, 2))

    def held(self) -> ClearanceProfile:
        """The profile as far up as the holder holds the thing: the part of the interval that its rim cuts through, and none above.

        Examples
        --------
        >>> profile = clearance_profile([0, 30], [0.4, 1.0], default_mm=0, between_mm=0.9, held_to_mm=10)
        >>> held = profile.held()
        >>> [held.heights_mm.tolist(), held.clearances_mm.round(3).tolist(), held.between_mm.round(3).tolist()]
        [[0.0, 10.0], [0.4, 1.4], [0.1]]
        """
        knots, top = self.heights_mm, self.held_to_mm
        if top >= knots[-1]:
            return self
        kept = max(int(np.searchsorted(knots, top)), 1)  # knots below the rim; one at least
        end = max(top, float(knots[0]))
        between = self.between_mm[:kept].copy()
        if len(between):  # a part of a parabola rises over its own chord by the square of that part
            between[-1] *= ((end - knots[kept - 1]) / (knots[kept] - knots[kept - 1])) ** 2
        return ClearanceProfile(
            heights_mm=frozen(np.append(knots[:kept], end)),
            clearances_mm=frozen(np.append(self.clearances_mm[:kept], self.at(np.array([end])))),
            between_mm=frozen(between),
        )

    @property
    def greatest_mm(self) -> float:
        """The largest clearance asked for at any height, between the sections too."""
        a, b, more = self.clearances_mm[:-1], self.clearances_mm[1:], self.between_mm
        most = float(self.clearances_mm.max())
        if not more.any():
            return most
        safe = np.where(more > 0, more, 1.0)
        # where a + (b - a) t + 4 m t (1 - t) is greatest
        part = np.clip(0.5 + (b - a) / (8 * safe), 0.0, 1.0)
        there = a + (b - a) * part + 4 * more * part * (1 - part)
        return max(most, float(there.max()))


def clearance_profile(
    heights_mm: Sequence[float],
    clearances_mm: Sequence[float | None],
    *,
    default_mm: float,
    between_mm: Floats | float = 0.0,
    held_to_mm: float = inf,
) -> ClearanceProfile:
    """The profile through the sections' own clearances, the default where they have none; ``held_to_mm`` as in `ClearanceProfile`."""
    values = [default_mm if value is None else value for value in clearances_mm]
    between = np.broadcast_to(between_mm, max(len(values) - 1, 0))
    return ClearanceProfile(
        heights_mm=frozen(heights_mm),
        clearances_mm=frozen(values),
        between_mm=frozen(between),
        held_to_mm=held_to_mm,
    )
