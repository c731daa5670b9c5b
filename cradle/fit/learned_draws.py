"""Draws of the quantities as believed after trials, weighted by the likelihood of what these showed.

How tight a piece is does not depend linearly on the quantities: it is the worst
of many places. The belief (`cradle.fit.belief_update`) takes what a linear rule
leaves out for chance that differs from print to print, but it is the thing's own:
one that did not go into a holder is as tight in the next. So the draws are made
by importance sampling with a defensive mixture (Hesterberg, "Weighted average
importance sampling and defensive mixture distributions", Technometrics 37 (1995)
185-194): half of them are proposed by the belief, half by the spreads as stated,
and each is weighted by its likelihood, over how much more often it is proposed
than by the stated spreads alone. Then as many as are wanted are resampled by their
weights, systematically (Kitagawa, "Monte Carlo filter and smoother for
non-Gaussian nonlinear state space models", J. Comput. Graph. Stat. 5 (1996) 1-25).

Where trials contradict one another hardly any draw explains them all. Then the
trials are believed less: the weights are raised to the greatest power that leaves
a large enough effective sample size (a power likelihood: Holmes and Walker,
Biometrika 104 (2017) 497-503).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import numpy as np

from cradle.fit.belief import Belief
from cradle.fit.model import FitModel, stated_draws
from cradle.geometry.arrays import Floats, Ints

_MOST_BATCHES: Final = 12
"""At most this many batches are proposed, each of as many draws as are wanted."""
_ENOUGH: Final = 0.25
"""No further batch is proposed once the effective sample size is this part of the number of draws wanted."""
_LEAST: Final = 0.05
"""Weights are flattened until the effective sample size is this part of the number of draws wanted."""
_HALVINGS: Final = 20
"""How many times the interval is halved in the search for the power that flattens them."""
_SEED: Final = 20109
"""Seed of the order of the draws taken."""


def learned_draws(model: FitModel, belief: Belief, *, log_likelihood: Callable[[Floats], Floats]) -> Floats:
    """Draws as believed after trials, ``(draws, q)``; the same every time.

    Parameters
    ----------
    model : FitModel
        By the spreads as stated.
    belief : Belief
        What the trials teach, about: the better it is, the fewer draws are proposed in vain.
    log_likelihood : callable
        From draws, ``(n, q)``, to the natural logarithm of the likelihood of all that the trials showed, ``(n,)``.
    """
    weights: list[Floats] = []
    for batch in range(_MOST_BATCHES):
        proposed, too_often = _proposed(model, belief, batch=batch)
        weights.append(log_likelihood(proposed) - too_often)
        if _effective(np.concatenate(weights)) >= _ENOUGH * len(proposed):
            break
    # the draws taken are proposed once more: to keep all of them meanwhile could take a gigabyte
    wanted = len(weights[0])
    taken = _systematic(_believed(np.concatenate(weights), least=_LEAST * wanted), wanted)
    rows = [
        _proposed(model, belief, batch=batch)[0][taken[taken // wanted == batch] % wanted]
        for batch in np.unique(taken // wanted).tolist()
    ]
    return np.random.default_rng(_SEED).permutation(np.concatenate(rows))


def _proposed(model: FitModel, belief: Belief, *, batch: int) -> tuple[Floats, Floats]:
    """Draws, ``(n, q)``, and the natural logarithm of how much more often each is proposed than stated, ``(n,)``."""
    stated = stated_draws(model, batch=batch)
    xi = stated.xi.copy()
    xi[1::2] = belief.drawn(xi[1::2])
    plain, shrink = belief.undrawn(xi)
    more = ((xi**2 - plain**2) / stated.scales**2).sum(axis=1) / 2 - shrink
    return xi, np.logaddexp(0.0, more) - np.log(2.0)


def _believed(log_weights: Floats, *, least: float) -> Floats:
    """The logarithms of the weights, or of their greatest power whose effective sample size is at least ``least``."""
    if _effective(log_weights) >= least:
        return log_weights
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        power = (low + high) / 2
        low, high = (power, high) if _effective(power * log_weights) >= least else (low, power)
    return low * log_weights


def _effective(log_weights: Floats) -> float:
    """The effective sample size: how many draws of equal weight would tell as much (Kish, "Survey Sampling", 1965)."""
    weights = np.exp(log_weights - log_weights.max())
    return float(weights.sum() ** 2 / (weights @ weights))


def _systematic(log_weights: Floats, count: int) -> Ints:
    """Indices of ``count`` draws, resampled by their weights: each comes as often as its weight asks for, to within one."""
    weights = np.exp(log_weights - log_weights.max())
    edges = np.cumsum(weights) / weights.sum()
    return np.minimum(np.searchsorted(edges, (np.arange(count) + 0.5) / count), len(weights) - 1)
