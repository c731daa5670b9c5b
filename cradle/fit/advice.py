"""Advice: the smallest clearance per section that reaches the chance asked for, and what drives it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from cradle.fit.best_position import Seats, seats
from cradle.fit.chance import Cause, Chance, chance_of_draws
from cradle.fit.model import FitModel, asked_mm, deviations_mm, drawn
from cradle.geometry.arrays import Floats, Ints
from cradle.pocket.clearance import ClearanceProfile, clearance_profile

MOST_MM: Final = 2.0
"""No more than this is advised: a pocket so loose holds nothing."""
STEP_MM: Final = 0.01
_TILTS: Final = (0.0, 0.5, 1.0)
"""How much of the sections' difference in need is given to them as a difference in clearance."""
_QUANTILE: Final = 0.9


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Advice:
    """The clearance advised.

    ``reached`` is False when `MOST_MM` is not enough; ``chance`` holds at
    ``profile``, and its cause is what drives the clearance.
    """

    profile: ClearanceProfile
    chance: Chance
    reached: bool

    @property
    def driver(self) -> Cause:
        """Where and by which spread the clearance is driven."""
        return self.chance.cause


def advised_clearance(
    model: FitModel,
    *,
    goal: float,
    given_mm: Sequence[float | None],
    between_mm: Floats | None = None,
) -> Advice:
    """The smallest clearance per section that reaches a chance of fit.

    Sections differ where their needs do. A section's need is the clearance
    that 90 of 100 draws want there when each is at its seat; the advice is the
    least sum over a few ways to give sections more of that difference or less.
    Beside clearances that are not to be changed all others are alike.

    Parameters
    ----------
    model : FitModel
    goal : float
        Chance asked for.
    given_mm : sequence of k (float or None)
        Clearances that are not to be changed.
    between_mm : (k − 1,) float64, optional
        Further clearance half way between sections.
    """
    xi = drawn(model)
    sought = _Sought(model, xi)
    free = np.array([value is None for value in given_mm])
    differences = _differences(model, sought)
    fixed = np.array([0.0 if value is None else value for value in given_mm])
    best = np.where(free, MOST_MM, fixed)  # nearest to the goal where none of the ways reaches it
    reached = False
    for tilt in _TILTS if free.all() else _TILTS[:1]:
        shape = tilt * differences
        values = _least(
            model, sought, shape=shape, free=free, given_mm=given_mm, goal=goal, between_mm=between_mm
        )
        less = values[free].sum() < best[free].sum() - STEP_MM * free.sum() / 2
        if (less or not reached) and sought.share(_profile(model, values, between_mm=between_mm)) >= goal:
            best, reached = values, True
    profile = _profile(model, best, between_mm=between_mm)
    chance = chance_of_draws(model, profile, xi=xi, deviations=sought.deviations, start=sought.basis)
    return Advice(profile=profile, chance=chance, reached=chance.chance >= goal)


class _Sought:
    """The draws of a model and their seats at one clearance after another: each search begins where the last ended."""

    def __init__(self, model: FitModel, xi: Floats) -> None:
        self.deviations = deviations_mm(model, xi)
        self.basis: Ints | None = None
        self._model = model

    def seats(self, asked: Floats | float) -> Seats:
        """The seats at a clearance, ``(j,)`` mm."""
        places = self._model.places
        found = seats(places.directions, self.deviations - asked, lever_mm=places.lever_mm, start=self.basis)
        self.basis = found.basis
        return found

    def tightness_mm(self, profile: ClearanceProfile) -> Floats:
        """How much more than a clearance each draw needs everywhere, ``(draws,)``, mm."""
        return self.seats(asked_mm(self._model, profile)).tightness_mm

    def share(self, profile: ClearanceProfile) -> float:
        """Share of the draws that fit at a clearance, 0 to 1."""
        return float((self.tightness_mm(profile) <= 0).mean())


def _differences(model: FitModel, sought: _Sought) -> Floats:
    """How much less each section needs than the one that needs most, ``(k,)``, ≤ 0, mm."""
    found = sought.seats(0.0)
    needed = sought.deviations + found.moves @ model.places.directions.T
    need = np.full(len(model.names), np.nan)
    owner = model.influences.sections.argmax(axis=0)
    for k in range(len(need)):
        own = owner == k
        if own.any():
            need[k] = np.quantile(needed[:, own].max(axis=1), _QUANTILE)
    known = np.flatnonzero(~np.isnan(need))
    filled = np.interp(model.section_heights_mm, model.section_heights_mm[known], need[known])
    return np.asarray(filled - filled.max(), dtype=np.float64)


def _least(
    model: FitModel,
    sought: _Sought,
    *,
    shape: Floats,
    free: np.ndarray[tuple[int], np.dtype[np.bool_]],
    given_mm: Sequence[float | None],
    goal: float,
    between_mm: Floats | None,
) -> Floats:
    """Clearances of all sections, the free ones ``shape`` plus the least amount that reaches the goal."""
    fixed = np.array([0.0 if value is None else value for value in given_mm])

    def at(amount: float) -> Floats:
        return np.where(free, np.clip(shape + amount, 0.0, MOST_MM), fixed)

    if free.all():
        start = shape + 1.0
        tight = sought.tightness_mm(_profile(model, start, between_mm=between_mm))
        amount = 1.0 + float(np.quantile(tight, goal, method="higher"))
        up = np.ceil(np.round((shape + amount) / STEP_MM, 6)) * STEP_MM
        return np.asarray(np.clip(up, 0.0, MOST_MM), dtype=np.float64)
    low, high = 0.0, MOST_MM - float(shape.min())
    while high - low > STEP_MM:
        middle = (low + high) / 2
        if sought.share(_profile(model, at(middle), between_mm=between_mm)) >= goal:
            high = middle
        else:
            low = middle
    return np.where(free, np.ceil(np.round(at(high) / STEP_MM, 6)) * STEP_MM, fixed)


def _profile(model: FitModel, values: Floats, *, between_mm: Floats | None) -> ClearanceProfile:
    return clearance_profile(
        model.section_heights_mm.tolist(),
        values.tolist(),
        default_mm=0.0,
        between_mm=0.0 if between_mm is None else between_mm,
    )
