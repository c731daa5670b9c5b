"""Chances of fit as text: estimated ones, and those aimed at."""

from __future__ import annotations

from typing import Final

_SURE: Final = 0.99
"""A chance above this is not told to the hundredth: the draws do not know it so well."""


def percent(chance: float, *, goal: float = 0.0) -> str:
    """An estimated chance; one that misses a goal with a decimal where that tells it from the goal.

    Examples
    --------
    >>> percent(0.956), percent(0.993)
    ('96 %', 'more than 99 %')
    >>> percent(0.577, goal=0.95), percent(0.946, goal=0.95), percent(0.9496, goal=0.95), percent(0.951, goal=0.95)
    ('58 %', '94.6 %', '94.9 %', '95 %')
    """
    if chance < goal and f"{100 * chance:.0f}" == f"{100 * goal:.0f}":
        return f"{min(100 * chance, 100 * goal - 0.1):.1f} %"
    return "more than 99 %" if chance > _SURE else f"{100 * chance:.0f} %"


def percent_asked(chance: float) -> str:
    """A chance that is aimed at, with a decimal where it is no whole percentage.

    Examples
    --------
    >>> percent_asked(0.95), percent_asked(0.95**0.5), percent_asked(0.999)
    ('95 %', '97.5 %', '99.9 %')
    """
    return f"{100 * chance:.3g} %"
