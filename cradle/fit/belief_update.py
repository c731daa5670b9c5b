"""What a trial teaches: a Bayesian update of the same spreads the chance is estimated from.

The quantities ξ are believed normal, N(μ, Σ); before any trial μ = 0, Σ = 1.
What a trial sees depends on one number, the tightness y of the piece, which is
taken as y = τ + gᵀξ + r: over draws from the stated spreads τ is its mean, g
its covariance with ξ (the best linear rule), and r the rest. With the gap c
that the piece has in its file, the room left is c − y + f, where f is the
hand's feel and one print's repeatability, and

    P(seen | l = gᵀξ) = Φ((upper − c + τ + l) / s) − Φ((lower − c + τ + l) / s),
    s² = var r + feel² + repeat²,

with the limits of `LIMITS_MM` on the room left (ordered probit; any text on
ordinal regression). On a grid over l the prior N(gᵀμ, v = gᵀΣg) times this
gives mean m and variance w, and

    μ ← μ + Σg (m − gᵀμ)/v,   Σ ← Σ − Σg gᵀΣ (v − w)/v²

(moment matching, "assumed density filtering"). A calipered inside width is a
normal observation of the printer's inside error, (nominal − read)/2.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from cradle.fit.belief import Belief
from cradle.fit.model import FitModel
from cradle.fit.uncertainties import InsideError, inside_error
from cradle.geometry.arrays import Floats
from cradle.noun import noun, record
from cradle.project.project import Project
from cradle.project.trial_log import Outcome, Trial
from cradle.sections.reading_spreads import combined, reading_mm

LIMITS_MM: Final = {
    Outcome.NO_GO: (-np.inf, 0.0),
    Outcome.TIGHT: (0.0, 0.06),
    Outcome.GOOD: (0.06, np.inf),
    Outcome.LOOSE: (0.25, np.inf),
}
"""Room left per side for each word (common practice, no source).

From how much room on a fit is no longer good is a matter of taste, which only *loose* tells of: a piece that goes in
well shows that the thing is no larger than that, however wide the piece, and never that it is larger than was thought.
"""
FEEL_MM: Final = 0.05
"""How well a hand tells room left (common practice, no source)."""
_LEAST: Final = 1e-12
"""No finding is less likely than this: hands err."""
_SUREST_MM: Final = 0.002
"""No inside width is read closer, per side: half of what calipers in steps of 0.01 mm leave open."""
_GRID: Final = 801
"""Points of the grid over l."""


@noun
class Rule:
    """The best linear rule for a piece's tightness, and how far it is from exact.

    ``mean_mm`` + ``slope`` · ξ, with the rest's standard deviation ``rest_mm``.
    """

    mean_mm: float
    slope: Floats
    rest_mm: float


@record
class InsideReading:
    """How much smaller per side than expected a print's inside was found to be, and how surely."""

    found_mm: float
    spread_mm: float


def reading_of(trial: Trial, *, project: Project) -> InsideReading | None:
    """What a trial's calipered inside width tells, (nominal − read)/2 per side; None if none was read."""
    if trial.read_mm is None or trial.nominal_mm is None:
        return None
    expected = inside_error(project.printer, project.spread).expected_mm
    return InsideReading(
        found_mm=(trial.nominal_mm - trial.read_mm) / 2 - expected,
        spread_mm=max(combined([reading_mm(project.spread) / 2, project.spread.repeat_mm]), _SUREST_MM),
    )


def reading_beside(printer: InsideError, expected: InsideError) -> InsideReading:
    """What trials of another thing told of the printer, beside what is expected of it."""
    return InsideReading(found_mm=printer.expected_mm - expected.expected_mm, spread_mm=printer.spread_mm)


def updated(
    model: FitModel, belief: Belief, trial: Trial, *, rule: Rule | None, project: Project
) -> tuple[Belief, float]:
    """The belief after a trial, and how likely it was to see that or worse."""
    reading = reading_of(trial, project=project)
    if reading is not None:
        belief = calipered(model, belief, reading)
    if rule is None or trial.seen is None or trial.gap_mm is None:  # a reading alone
        return belief, 1.0
    g = rule.slope
    gain = belief.covariance_with(g)
    v, centre = float(g @ gain), float(g @ belief.mean)
    s = combined([rule.rest_mm, FEEL_MM, project.spread.repeat_mm])
    room = trial.widest_gap_mm - rule.mean_mm
    low, high = limits = limits_mm(trial.seen, gives_mm=trial.lining_gives_mm)
    spread = combined([np.sqrt(max(v, 0.0)), s])
    tail = min(_phi((high - room + centre) / spread), 1 - _phi((low - room + centre) / spread))
    if v <= 1e-12:
        return belief, tail
    l = centre + np.sqrt(v) * np.linspace(-6, 6, _GRID)  # noqa: E741 - the letter of the formula
    log_weight = log_likelihood(limits, room - l, spread_mm=s) - 0.5 * ((l - centre) ** 2) / v
    weight = np.exp(log_weight)
    weight /= weight.sum()
    m = float(weight @ l)
    w = float(weight @ (l - m) ** 2)
    return belief.told(gain, by=(m - centre) / v, weight=(v - w) / v**2), tail


def limits_mm(seen: Outcome, *, gives_mm: float) -> tuple[float, float]:
    """Least and greatest room left per side for what was seen, mm, beside a lining pressed as far as it gives.

    A lining holds the thing as far as it gives way: only beyond that the thing is loose.
    """
    low, high = LIMITS_MM[seen]
    return low + gives_mm if seen is Outcome.LOOSE else low, high + gives_mm if high > 0 else high


def log_likelihood(limits: tuple[float, float], room_mm: Floats, *, spread_mm: float) -> Floats:
    """Natural logarithm of the chance that a hand finds the room of a piece within limits, of ``room_mm``'s shape.

    ``room_mm`` is what the piece has per side, ``spread_mm`` how far what is found may lie from it.
    """
    low, high = limits
    chance = _phis((high - room_mm) / spread_mm) - _phis((low - room_mm) / spread_mm)
    return np.log(np.clip(chance, _LEAST, None))


def calipered(model: FitModel, belief: Belief, reading: InsideReading) -> Belief:
    """The belief after an inside width was read."""
    slope = model.influences.inside_mm
    if not slope.any():
        return belief
    gain = belief.covariance_with(slope)
    total = float(slope @ gain) + reading.spread_mm**2
    missed = reading.found_mm - float(slope @ belief.mean)
    return belief.told(gain, by=missed / total, weight=1 / total)


def _phis(x: Floats) -> Floats:
    """The standard normal distribution function Φ at ``x``, of its shape; to load scipy's own takes longer than this does."""
    every = map(math.erfc, (x / -math.sqrt(2.0)).ravel().tolist())
    return 0.5 * np.array(list(every)).reshape(x.shape)


def _phi(x: float) -> float:
    return 0.5 * math.erfc(-x / math.sqrt(2.0))
