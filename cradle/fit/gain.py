"""What a further measurement would buy: a better chance at the same clearance, or the same chance with less of it."""

from __future__ import annotations

from typing import Final

import numpy as np

from cradle.fit.best_position import fits, seats
from cradle.fit.model import FitModel, asked_mm, deviations_mm, drawn
from cradle.noun import record
from cradle.pocket.clearance import ClearanceProfile

DRAWS: Final = 500
"""By so many draws a gain is told."""
_WORTH: Final = 0.03
"""A chance that grows by less is lost in the draws."""
_WORTH_MM: Final = 0.05
"""A clearance that shrinks by less is not felt (our own choice)."""


@record
class Gain:
    """Before and with a measurement: the chance, or the least clearance in mm where that follows the chance asked for."""

    before: float
    after: float
    of_clearance: bool = False

    @property
    def part(self) -> float:
        """How much better, as a part of what it was."""
        return abs(self.after - self.before) / max(self.before, 1e-9)

    def __str__(self) -> str:
        if self.of_clearance:
            return f"clearance from {self.before:.2f} to about {self.after:.2f} mm per side for the same chance of fit"
        return f"chance of fit from {100 * self.before:.0f} % to about {100 * self.after:.0f} %"


class Gains:
    """What models of a thing that is measured further gain over its own, by the same draws of both.

    Parameters
    ----------
    model : FitModel
    profile : ClearanceProfile
        The clearance asked for, per side.
    chance : float
        The chance there, of more draws than a gain is read off.
    goal : float, optional
        The chance that the clearance follows: a gain is then one of clearance.
    """

    def __init__(
        self, model: FitModel, profile: ClearanceProfile, *, chance: float, goal: float | None = None
    ) -> None:
        self._xi, self._asked = drawn(model, draws=DRAWS), asked_mm(model, profile)
        self._chance, self._goal, self._least_mm = chance, goal, profile.least_mm
        self._lever_mm, self._directions = model.places.lever_mm, model.places.directions
        self._own = seats(
            self._directions, deviations_mm(model, self._xi), lever_mm=self._lever_mm, asked_mm=self._asked
        )

    def of(self, further: FitModel) -> Gain | None:
        """The gain of a model that knows more; None where it is not worth measuring."""
        if self._goal is not None:
            return self._of_clearance(further, self._goal)
        fitting = fits(
            self._directions,
            deviations_mm(further, self._xi),
            lever_mm=self._lever_mm,
            start=self._own.basis,
            asked_mm=self._asked,
        )
        more = float(fitting.mean() - (self._own.tightness_mm <= 0).mean())
        return Gain(before=self._chance, after=min(self._chance + more, 1.0)) if more > _WORTH else None

    def _of_clearance(self, further: FitModel, goal: float) -> Gain | None:
        found = seats(
            self._directions,
            deviations_mm(further, self._xi),
            lever_mm=self._lever_mm,
            start=self._own.basis,
            asked_mm=self._asked,
        )
        before, after = np.quantile([self._own.tightness_mm, found.tightness_mm], goal, axis=1).tolist()
        less = min(before - after, self._least_mm)
        if less < _WORTH_MM:
            return None
        return Gain(before=self._least_mm, after=self._least_mm - less, of_clearance=True)
