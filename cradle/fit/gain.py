"""What a further measurement would buy: a better chance at the same clearance, or the same chance with less of it."""

from __future__ import annotations

from typing import Final

import numpy as np

from cradle.fit.chance import Chance
from cradle.fit.model import FitModel, asked_mm, drawn
from cradle.geometry.arrays import Floats
from cradle.noun import record
from cradle.pocket.clearance import ClearanceProfile

_WORTH: Final = 0.03
"""A chance that grows by less than this is lost in the error of the draws."""
_WORTH_MM: Final = 0.1
"""A clearance that shrinks by less than this is hardly felt (our own choice), and half of that may be the error of the draws."""
_TOLD_MM: Final = 0.005
"""Clearances are told in hundredths of a mm: less than half of one is none, as where a lining gives way far enough."""


@record
class Gain:
    """What a measurement gains: the chance before and with it, or the least clearance, mm, where that follows the chance."""

    before: float
    after: float
    of_clearance: bool = False

    @property
    def part(self) -> float:
        """How much better, as a part of what it was; negative where it is worse."""
        more = self.before - self.after if self.of_clearance else self.after - self.before
        return more / max(self.before, 1e-9)

    def worth(self, count: int = 1) -> bool:
        """Whether it is worth ``count`` measurements."""
        if self.of_clearance:
            return self.before - self.after >= _WORTH_MM * count
        return self.after - self.before > _WORTH * count

    def __str__(self) -> str:
        if self.of_clearance:
            less = f"about {self.after:.2f}" if self.after >= _TOLD_MM else "no clearance"
            return f"{less} instead of {self.before:.2f} mm per side for the same chance of fit"
        return f"chance of fit from {100 * self.before:.0f} % to about {100 * self.after:.0f} %"


class Gains:
    """What knowing more of a thing gains over its model, by the same draws of both: ``xi``, ``(draws, q)``.

    Parameters
    ----------
    profile : ClearanceProfile
        The clearance that the pocket has per side, with what trials added.
    asked_least_mm : float
        The least clearance asked for, before trials added to it: a gain of clearance is counted in it.
    chance : Chance
        The chance there, by the draws of `cradle.fit.model.drawn`.
    goal : float, optional
        The chance that the clearance follows: a gain is then one of clearance.
    """

    def __init__(
        self,
        model: FitModel,
        profile: ClearanceProfile,
        *,
        asked_least_mm: float,
        chance: Chance,
        goal: float | None = None,
    ) -> None:
        self.xi = drawn(model)
        self._places, self._asked = model.places, asked_mm(model, profile)
        self._chance, self._goal, self._least_mm = chance, goal, asked_least_mm

    def of(self, deviations: Floats) -> Gain:
        """The gain where the draws deviate by ``(draws, j)`` mm instead."""
        if self._goal is not None:
            return self._of_clearance(deviations, self._goal)
        fitting = self._places.fits(deviations, start=self._chance.seats.basis, asked_mm=self._asked)
        return Gain(before=self._chance.chance, after=float(fitting.mean()))

    def tightness_with(self, deviations: Floats) -> Floats:
        """How much more clearance the first draws need everywhere where they deviate by ``(n, j)`` mm instead, ``(n,)``, mm."""
        start = self._chance.seats.basis[: len(deviations)]
        return self._places.seats(deviations, start=start, asked_mm=self._asked).tightness_mm

    def _of_clearance(self, deviations: Floats, goal: float) -> Gain:
        before, after = np.quantile(
            [self._chance.tightness_mm, self.tightness_with(deviations)], goal, axis=1
        ).tolist()
        less = min(before - after, self._least_mm)
        return Gain(before=self._least_mm, after=self._least_mm - less, of_clearance=True)
