"""How much clearance is asked for at each height."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cradle.geometry.arrays import Floats, frozen


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ClearanceProfile:
    """Clearance per side against height: straight between sections, plus a relief half way.

    Attributes
    ----------
    heights_mm, clearances_mm : (k,) float64
        Rising heights and the clearance asked for there; beyond the ends the
        end value holds.
    relief_mm : float
        Extra clearance half way between two neighbouring heights, falling
        smoothly to nothing at both (sine squared).
    """

    heights_mm: Floats
    clearances_mm: Floats
    relief_mm: float = 0.0

    def at(self, heights_mm: Floats) -> Floats:
        """Clearance at each of ``(n,)`` heights, mm."""
        knots = self.heights_mm
        asked = np.interp(heights_mm, knots, self.clearances_mm)
        if self.relief_mm == 0 or len(knots) < 2:
            return asked
        span = np.clip(np.searchsorted(knots, heights_mm, side="right") - 1, 0, len(knots) - 2)
        part = np.clip((heights_mm - knots[span]) / (knots[span + 1] - knots[span]), 0, 1)
        return asked + self.relief_mm * np.sin(np.pi * part) ** 2

    @property
    def least_mm(self) -> float:
        """The smallest clearance asked for."""
        return float(self.clearances_mm.min())

    @property
    def greatest_mm(self) -> float:
        """The largest clearance asked for, relief included."""
        return float(self.clearances_mm.max()) + max(self.relief_mm, 0.0)


def clearance_profile(
    heights_mm: Sequence[float],
    clearances_mm: Sequence[float | None],
    *,
    default_mm: float,
    relief_mm: float = 0.0,
) -> ClearanceProfile:
    """The profile through the sections' own clearances, the default where they have none."""
    values = [default_mm if value is None else value for value in clearances_mm]
    return ClearanceProfile(heights_mm=frozen(heights_mm), clearances_mm=frozen(values), relief_mm=relief_mm)


def widened(profile: ClearanceProfile, by_mm: float) -> ClearanceProfile:
    """The profile with the same amount added everywhere."""
    return ClearanceProfile(
        heights_mm=profile.heights_mm,
        clearances_mm=frozen(profile.clearances_mm + by_mm),
        relief_mm=profile.relief_mm,
    )
