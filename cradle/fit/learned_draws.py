"""Draws of the quantities as believed after trials, by what each would truly have shown.

How tight a piece is does not follow the quantities in a straight line: it is
the worst of many places. The belief (`cradle.fit.belief_update`) takes what the
line leaves out for chance that differs from print to print, but it is the
thing's own: one that did not go into a holder is as tight in the next. So half
of the draws are proposed by the belief, half by the spreads as stated, and each
counts by its likelihood and by how much too often it was proposed: importance
sampling with a defensive mixture (Hesterberg, "Weighted average importance
sampling and defensive mixture distributions", Technometrics 37 (1995) 185-194).
As many as are wanted are taken by their weights, systematically (Kitagawa,
"Monte Carlo filter and smoother for non-Gaussian nonlinear state space models",
J. Comput. Graph. Stat. 5 (1996) 1-25).

Where trials contradict one another hardly any draw shows them all. Then they
are believed less: by a power of the weights with which enough draws are left
(a power likelihood: Holmes and Walker, Biometrika 104 (2017) 497-503).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import numpy as np

from cradle.fit.belief import Belief
from cradle.fit.model import FitModel, stated_draws
from cradle.geometry.arrays import Floats, Ints

_MOST_BATCHES: Final = 12
"""No more batches are proposed, each of as many draws as are wanted."""
_ENOUGH: Final = 0.25
"""Enough are proposed once their effective number is this part of those wanted."""
_LEAST: Final = 0.05
"""Weights are flattened until the effective number of draws is this part of those wanted."""
_HALVINGS: Final = 20
"""Halvings in the search for the power that flattens them."""
_SEED: Final = 20109
"""Shuffles the draws taken."""


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
    # those taken are proposed once more: kept meanwhile, all of them could take a gigabyte
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
    """The logarithms of the weights, or of their greatest power that leaves an effective number of draws of at least ``least``."""
    if _effective(log_weights) >= least:
        return log_weights
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        power = (low + high) / 2
        low, high = (power, high) if _effective(power * log_weights) >= least else (low, power)
    return low * log_weights


def _effective(log_weights: Floats) -> float:
    """The effective number of draws: how many of even weight would tell as much (Kish, "Survey Sampling", 1965)."""
    weights = np.exp(log_weights - log_weights.max())
    return float(weights.sum() ** 2 / (weights @ weights))


def _systematic(log_weights: Floats, count: int) -> Ints:
    """Indices of ``count`` draws, each as often as its weight asks for, to less than one."""
    weights = np.exp(log_weights - log_weights.max())
    edges = np.cumsum(weights) / weights.sum()
    return np.minimum(np.searchsorted(edges, (np.arange(count) + 0.5) / count), len(weights) - 1)
