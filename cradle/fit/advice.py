"""Advice: the smallest clearance per section that reaches the chance asked for, and what drives it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from cradle.fit.chance import Cause, Chance, chance_of_draws
from cradle.fit.model import FitModel, asked_mm, deviations_mm, drawn
from cradle.geometry.arrays import Bools, Floats
from cradle.noun import noun
from cradle.pocket.clearance import STEP_MM, ClearanceProfile, clearance_profile, rounded_up

MOST_CLEARANCE_MM: Final = 2.0
"""No more than this is advised: a pocket so loose holds nothing."""
_TILTS: Final = (0.0, 0.5, 1.0)
"""Parts of the differences between the sections' needs that are tried as differences between their clearances."""
_QUANTILE: Final = 0.9
"""A section's need is the clearance that is enough there for this share of the draws."""
_OWN_WALL_MM: Final = 0.2
"""Places to which the way out leaves more room than this do not tell what their section needs (our own choice)."""


@noun
class Advice:
    """The clearance advised.

    Attributes
    ----------
    asked : ClearanceProfile
        The clearance to ask for; trials add to it what they taught.
    chance : Chance
        The chance of fit with what trials add. Its curve is over the least of ``asked``, its cause drives the clearance.
    reached : bool
        False when `MOST_CLEARANCE_MM` is not enough.
    """

    asked: ClearanceProfile
    chance: Chance
    reached: bool

    @property
    def is_none(self) -> bool:
        """Whether none at all is needed: a lining gives way far enough."""
        return not self.asked.clearances_mm.any()

    @property
    def driver(self) -> Cause:
        """Where and by which spread the clearance is driven."""
        return self.chance.cause


def advised_clearance(
    model: FitModel,
    *,
    goal: float,
    given_mm: Sequence[float | None],
    added_mm: Sequence[float] | None = None,
    between_mm: Floats | None = None,
) -> Advice:
    """The smallest clearance per section that reaches a chance of fit.

    Sections differ where their needs do. A section's need is the clearance
    that 90 of 100 draws want there when each is at its seat; the advice is the
    least sum over a few ways to give sections more of that difference or less.
    Beside clearances that are not to be changed all others are alike.

    Parameters
    ----------
    given_mm : sequence of k (float or None)
        Clearances asked for that are not to be changed.
    added_mm : sequence of k float, optional
        What trials add at each section to what is asked for.
    between_mm : (k − 1,) float64, optional
        Further clearance half way between sections.
    """
    xi = drawn(model)
    sought = _Sought(model, xi, between_mm=between_mm)
    free = np.array([value is None for value in given_mm])
    given = np.array([0.0 if value is None else value for value in given_mm])
    added = np.zeros(len(free)) if added_mm is None else np.array(added_mm)
    fixed = np.maximum(given + added, 0.0)
    counted = free & np.isin(np.arange(len(free)), model.reached())  # what lies above the rim costs no room
    best = np.where(free, MOST_CLEARANCE_MM, fixed)  # nearest to the goal where none of the ways reaches it
    reached = False
    for values in _ways(sought, free=free, fixed=fixed, goal=goal):
        less = values[counted].sum() < best[counted].sum() - STEP_MM * counted.sum() / 2
        if (less or not reached) and sought.share(values) >= goal:
            best, reached = values, True
    asked_for = np.where(free, np.maximum(rounded_up(best - added), 0.0), given)
    asked = sought.profile(asked_for)
    chance = chance_of_draws(
        model,
        sought.profile(np.maximum(asked_for + added, 0.0)),
        xi=xi,
        deviations=sought.deviations,
        asked_least_mm=asked.least_mm,
        start=sought.found.basis,
    )
    return Advice(asked=asked, chance=chance, reached=chance.chance >= goal)


class _Sought:
    """The seats of a model's draws at one clearance after another; each search begins at the seats that the last one found."""

    def __init__(self, model: FitModel, xi: Floats, *, between_mm: Floats | None) -> None:
        self.model = model
        self.deviations = deviations_mm(model, xi)
        self._between_mm = 0.0 if between_mm is None else between_mm
        self.asked: Floats = np.zeros(len(model.places.directions))
        self.found = model.places.seats(self.deviations)

    def profile(self, values: Floats) -> ClearanceProfile:
        """The clearance everywhere for that of each section, ``(k,)`` mm."""
        heights = self.model.section_heights_mm.tolist()
        return clearance_profile(
            heights,
            values.tolist(),
            default_mm=0.0,
            between_mm=self._between_mm,
            held_to_mm=self.model.places.held_to_mm,
        )

    def seat(self, values: Floats) -> Floats:
        """Seat the draws at the sections' clearances: how much more each needs everywhere, ``(draws,)``, mm."""
        self.asked = asked_mm(self.model, self.profile(values))
        self.found = self.model.places.seats(self.deviations, start=self.found.basis, asked_mm=self.asked)
        return self.found.tightness_mm

    def share(self, values: Floats) -> float:
        """Share of the draws that fit at the sections' clearances, 0 to 1.

        Compared with the clearances at which the draws were seated last, these are
        wider by at least one amount and at most another. Each draw is then less tight
        by something in between, which for most decides whether it fits; only the rest
        are seated again.
        """
        asked = asked_mm(self.model, self.profile(values))
        tight, wider = self.found.tightness_mm, asked - self.asked
        free = (self.found.carriers >= 0).all(axis=1)  # search limits do not move with the clearance
        fitting = free & (tight <= wider.min())
        doubtful = np.flatnonzero(~fitting & ~(free & (tight > wider.max())))
        also = self.model.places.fits(
            self.deviations[doubtful], start=self.found.basis[doubtful], asked_mm=asked
        )
        return float((fitting.sum() + also.sum()) / len(tight))


def _ways(sought: _Sought, *, free: Bools, fixed: Floats, goal: float) -> Iterator[Floats]:
    """Clearances of all sections that reach the goal, or nearly, ``(k,)`` mm: one proposal for each way to choose them."""
    if free.all():
        differences = _differences(sought)
        for tilt in _TILTS:
            yield _tilted(sought, tilt * differences, goal=goal)
    else:
        yield _beside(sought, free=free, fixed=fixed, goal=goal)


def _differences(sought: _Sought) -> Floats:
    """How much less each section needs than the one that needs most, ``(k,)``, ≤ 0, mm.

    Where the way out leaves a section so much room that its own places tell nothing, its neighbours' needs stand for it.
    """
    model = sought.model
    needed = sought.deviations + sought.found.moves @ model.places.directions.T
    need = np.full(len(model.names), np.nan)
    owner = model.influences.sections.argmax(axis=0)
    held = model.places.room_mm <= _OWN_WALL_MM
    for k in range(len(need)):
        own = (owner == k) & held
        if own.any():
            need[k] = np.quantile(needed[:, own].max(axis=1), _QUANTILE)
    known = np.flatnonzero(~np.isnan(need))
    filled = np.interp(model.section_heights_mm, model.section_heights_mm[known], need[known])
    return np.asarray(filled - filled.max(), dtype=np.float64)


def _tilted(sought: _Sought, shape: Floats, *, goal: float) -> Floats:
    """Clearances of all sections: ``shape`` plus the least amount that reaches the goal."""
    tight = sought.seat(shape + 1.0)
    amount = 1.0 + float(np.quantile(tight, goal, method="higher"))
    return np.clip(rounded_up(shape + amount), 0.0, MOST_CLEARANCE_MM)


def _beside(sought: _Sought, *, free: Bools, fixed: Floats, goal: float) -> Floats:
    """Clearances of all sections, the free ones alike: the least that reaches the goal beside the fixed ones."""
    low, high = 0.0, MOST_CLEARANCE_MM
    sought.seat(np.where(free, MOST_CLEARANCE_MM / 2, fixed))
    while high - low > STEP_MM:
        middle = (low + high) / 2
        if sought.share(np.where(free, middle, fixed)) >= goal:
            high = middle
        else:
            low = middle
    return np.where(free, rounded_up(np.full(len(free), high)), fixed)
