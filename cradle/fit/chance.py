"""Chance of fit: the share of imagined things that reach their seat without touching.

Monte Carlo after JCGM 101:2008: draw every quantity from its spread, seat the
thing, and compare its tightness with the clearance. On the way in every level
of the thing passes only where the pocket was opened for it (the pocket holds
each level's clearance all the way up), so a thing that touches nothing at its
seat touches nothing on the way. Touching at all counts as not fitting; a
thing that only rubs may still go in by hand.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from cradle.fit.best_position import TURN_LIMIT_DEG, Seats
from cradle.fit.model import FitModel, asked_mm, deviations_mm, drawn
from cradle.fit.uncertainties import Spread
from cradle.geometry.arrays import Floats, Ints
from cradle.noun import noun, record
from cradle.pocket.clearance import ClearanceProfile, rounded_up

CURVE_STEP_MM: Final = 0.05
"""The curve of the chance has a clearance at each multiple of this."""
_FEWEST: Final = 20
"""If fewer draws fail, the reason is read off this many of the tightest."""
_PLAY_DRAWS: Final = 200
"""Up to this many of the things that fit tell the play."""
_PLAY_DIRECTIONS: Final = 12
"""Directions of shift along which play is looked for."""
_FELT_MM: Final = 0.05
"""A turn that moves the skin by less than this is not felt: half of what an unknown printer's inside walls are off by."""
_TOLD: Final = 0.1
"""Shifts, mm, and turns, degrees, are told to this."""
_LOOSE: Final = 0.95
"""The play told is the quantile at this share of the things that fit."""


@record
class Cause:
    """What makes things too tight: the height where they are most often, its name, and the spread that adds most to their tightness.

    ``spread_mm`` is what that spread adds on average.
    """

    height_mm: float
    where: str
    spread: Spread
    spread_mm: float


@noun
class Chance:
    """The chance that the thing fits.

    Attributes
    ----------
    chance : float
        At the clearance asked for, 0 to 1.
    tightness_mm : (draws,) float64
        How much more clearance everywhere each draw needs than was asked for; negative is room left.
    least_mm : float
        The least clearance asked for.
    curve : tuple of (float, float)
        Least clearance asked for, all of it moved alike, mm, and the chance there.
    seats : Seats
        Of the draws, for `cause_at`.
    play_mm, play_deg : float
        Largest shift, and turn about the upright axis, of the loosest 5 % of the things that fit, from stop to stop.
    turns_alike : bool
        Whether the thing is as good as round about one upright axis, so that its turn is neither held nor felt.
    """

    chance: float
    tightness_mm: Floats
    least_mm: float
    curve: tuple[tuple[float, float], ...]
    cause: Cause
    seats: Seats
    play_mm: float
    play_deg: float
    turns_alike: bool

    def taking(self, chance: float) -> float | None:
        """The least clearance to ask for so that a chance is reached, mm, rounded up as clearances are; None beyond the curve's end."""
        needed = float(np.quantile(self.tightness_mm, chance, method="higher")) + self.least_mm
        taken = max(float(rounded_up(np.array(needed))), 0.0)
        return taken if taken <= self.curve[-1][0] else None

    @property
    def is_held_still(self) -> bool:
        """Whether the thing can neither shift nor turn, as far as that is told."""
        return self.play_mm < _TOLD / 2 and (self.turns_alike or self.play_deg < _TOLD / 2)

    @property
    def play_words(self) -> str:
        """How far the thing can shift and turn, in words. Turns beyond twice `TURN_LIMIT_DEG` are not looked at."""
        shift = f"shift by {self.play_mm:.1f} mm"
        if self.turns_alike:
            return shift
        more = " or more" if self.play_deg > 2 * TURN_LIMIT_DEG - 0.05 else ""
        return f"{shift} and turn about its upright axis by {self.play_deg:.1f}°{more}"

    @property
    def draws(self) -> int:
        """How many things were imagined."""
        return len(self.tightness_mm)

    @property
    def uncertainty(self) -> float:
        """Standard uncertainty of the chance from the number of draws alone."""
        return float(np.sqrt(self.chance * (1 - self.chance) / self.draws))


def chance_of_fit(
    model: FitModel,
    profile: ClearanceProfile,
    *,
    asked_least_mm: float | None = None,
    xi: Floats | None = None,
) -> Chance:
    """The chance that the thing fits at a clearance, with its cause, play and curve.

    Parameters
    ----------
    profile : ClearanceProfile
        The clearance per side, with what trials add to it.
    asked_least_mm : float, optional
        The least clearance asked for, which the curve tells; default that of the profile.
    xi : (draws, q) float64, optional
        Draws to use; default `cradle.fit.model.drawn`.
    """
    xi = drawn(model) if xi is None else xi
    deviations = deviations_mm(model, xi)
    return chance_of_draws(model, profile, xi=xi, deviations=deviations, asked_least_mm=asked_least_mm)


def chance_of_draws(
    model: FitModel,
    profile: ClearanceProfile,
    *,
    xi: Floats,
    deviations: Floats,
    asked_least_mm: float | None = None,
    start: Ints | None = None,
) -> Chance:
    """The chance of fit by draws whose deviations, ``(draws, j)``, mm, are known already (`cradle.fit.model.deviations_mm`).

    ``start`` is the basis of their seats at another clearance (`cradle.fit.best_position.seats`); else as `chance_of_fit`.
    """
    asked = asked_mm(model, profile)
    found = model.places.seats(deviations, start=start, asked_mm=asked)
    tight = found.tightness_mm
    play_mm, play_deg = _play(model, deviations, found, asked=asked - model.gives_mm)
    least_mm = profile.least_mm if asked_least_mm is None else asked_least_mm
    return Chance(
        chance=float((tight <= 0).mean()),
        tightness_mm=tight,
        least_mm=least_mm,
        curve=_curve(tight, least_mm=least_mm),
        cause=_cause(model, xi, found),
        seats=found,
        play_mm=play_mm,
        play_deg=play_deg,
        turns_alike=_turns_alike(model),
    )


def cause_at(model: FitModel, chance: Chance, *, wider_mm: float) -> Cause:
    """What makes the thing too tight where the clearance is wider by this much everywhere.

    The draws are those of `cradle.fit.model.drawn`: a clearance that is wider
    everywhere takes as much off every draw's tightness, and moves no draw.
    """
    return _cause(model, drawn(model), chance.seats, wider_mm=wider_mm)


def _curve(tight: Floats, *, least_mm: float) -> tuple[tuple[float, float], ...]:
    needed = np.sort(tight + least_mm)
    top = max(float(needed[int(0.995 * (len(needed) - 1))]), least_mm) + CURVE_STEP_MM
    steps = np.arange(0, int(np.ceil(top / CURVE_STEP_MM)) + 1) * CURVE_STEP_MM
    shares = np.searchsorted(needed, steps, side="right") / len(needed)
    return tuple((float(c), float(p)) for c, p in zip(steps, shares, strict=True))


def _cause(model: FitModel, xi: Floats, found: Seats, *, wider_mm: float = 0.0) -> Cause:
    """The cause, read off the seats' loads: tightness = Σ load · deviation, so that each spread's part of it is known exactly."""
    order = np.argsort(-found.tightness_mm, kind="stable")
    failing = int((found.tightness_mm > wider_mm).sum())
    picked = order[: max(failing, min(_FEWEST, len(order)))]
    carriers, loads = found.carriers[picked], found.loads[picked]
    real = carriers >= 0
    loads, carriers = np.where(real, loads, 0.0), np.where(real, carriers, 0)
    per_level = np.bincount(
        model.places.levels[carriers].ravel(), weights=loads.ravel(), minlength=len(model.places.heights_mm)
    )
    level = int(per_level.argmax())
    load_of = np.zeros((len(picked), len(model.places.levels)))
    np.add.at(load_of, (np.arange(len(picked))[:, None], carriers), loads)
    parts = (model.influences.matrix.before(load_of) * xi[picked]).mean(axis=0)
    by_spread = {
        s: float(parts[model.influences.of(s)].sum() + (load_of @ model.influences.mean_of(s)).mean())
        for s in Spread
    }
    worst = max(by_spread, key=lambda s: by_spread[s])
    height = float(model.places.heights_mm[level])
    return Cause(height_mm=height, where=model.place_name(height), spread=worst, spread_mm=by_spread[worst])


def _play(model: FitModel, deviations: Floats, found: Seats, *, asked: Floats) -> tuple[float, float]:
    """The largest shift, mm, and turn, degrees, from stop to stop, of the loosest 5 % of the things that fit; ``asked`` leaves out what a lining gives."""
    fitting = np.flatnonzero(found.tightness_mm <= 0)[:_PLAY_DRAWS]
    if not len(fitting):
        return 0.0, 0.0
    directions = model.places.directions
    slack = np.maximum(asked - deviations[fitting] - found.moves[fitting] @ directions.T, 0.0)
    angle = np.arange(_PLAY_DIRECTIONS) * np.pi / _PLAY_DIRECTIONS
    ways = [np.array([np.cos(a), np.sin(a), 0.0]) for a in angle]
    shifts = np.max([_stop_to_stop(slack, directions @ way) for way in ways], axis=0)
    shifts = np.minimum(shifts, 2 * model.places.lever_mm)  # where nothing stops it: its own size
    turns = _stop_to_stop(slack, directions[:, 2])
    deg = np.degrees(np.minimum(turns, 2 * _limit_mm(model)) / model.places.lever_mm)
    return float(np.quantile(shifts, _LOOSE)), float(np.quantile(deg, _LOOSE))


def _limit_mm(model: FitModel) -> float:
    """The largest turn either way that is looked for, as the way of the lever's end, mm."""
    return model.places.lever_mm * float(np.radians(TURN_LIMIT_DEG))


def _turns_alike(model: FitModel) -> bool:
    """Whether no turn that is looked for moves the skin far enough anywhere to be felt."""
    return bool(np.abs(model.places.directions[:, 2]).max() * _limit_mm(model) < _FELT_MM)


def _stop_to_stop(slack: Floats, rate: Floats) -> Floats:
    """How far each draw can move one way and back until a place stops it, ``(n,)``, mm.

    Parameters
    ----------
    slack : (n, j) float64
        Room at each place.
    rate : (j,) float64
        How fast each place moves outward.
    """
    total = np.zeros(len(slack))
    for sign in (1.0, -1.0):
        towards = sign * rate > 1e-6
        if not towards.any():
            return np.full(len(slack), np.inf)
        total += (slack[:, towards] / (sign * rate[towards])).min(axis=1)
    return total
