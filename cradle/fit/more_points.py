"""What more points of an outline would buy: where few stand for a curve, their chords decide the fit."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from cradle.fit.best_position import fits
from cradle.fit.model import FitModel, asked_mm, deviations_mm, drawn
from cradle.fit.uncertainties import Spread
from cradle.noun import record
from cradle.pocket.clearance import ClearanceProfile

_LEFT: Final = 0.25
"""Part of an arc's rise above its chord that twice as many points leave: it goes with the chord's square."""
GAIN_DRAWS: Final = 500
"""By so many draws what a further measurement would gain is told."""
WORTH: Final = 0.03
"""A gain below this is lost in the draws."""


@record
class MorePoints:
    """The sections of which more points are worth reading: chance before, and with twice as many."""

    names: tuple[str, ...]
    before: float
    after: float

    def __str__(self) -> str:
        quoted = [f'"{name}"' for name in self.names]
        names = " and ".join(filter(None, (", ".join(quoted[:-1]), quoted[-1])))
        return (
            f"read about twice as many points of {names} where {'it is' if len(self.names) == 1 else 'they are'} round "
            f"(chance of fit from {100 * self.before:.0f} % to about {100 * self.after:.0f} %)"
        )


def more_points(model: FitModel, profile: ClearanceProfile, *, chance: float) -> MorePoints | None:
    """The sections of which twice as many points would raise the chance; None where they would not.

    Parameters
    ----------
    model : FitModel
    profile : ClearanceProfile
    chance : float
        The chance as it is, of more draws than the gain is read off.
    """
    rows = model.influences.of(Spread.POINTS)
    if not rows.any():
        return None
    xi, asked = drawn(model, draws=GAIN_DRAWS), asked_mm(model, profile)
    shares = [
        fits(one.places.directions, deviations_mm(one, xi) - asked, lever_mm=one.places.lever_mm).mean()
        for one in (model, with_more_points(model))
    ]
    gain = float(shares[1] - shares[0])
    if gain <= WORTH:
        return None
    return MorePoints(names=_few(model), before=chance, after=min(chance + gain, 1.0))


def with_more_points(model: FitModel) -> FitModel:
    """The model as it would be with twice as many points of every section that has few."""
    influences = model.influences
    stands_out = influences.points_mean_mm
    return replace(
        model,
        influences=replace(
            influences,
            matrix=influences.matrix.scaled(
                np.full(len(stands_out), _LEFT), rows=influences.of(Spread.POINTS)
            ),
            mean_mm=influences.mean_mm - (1 - _LEFT) * stands_out,
            points_mean_mm=_LEFT * stands_out,
        ),
    )


def _few(model: FitModel) -> tuple[str, ...]:
    """The sections that have few points: each such quantity moves the places as its section does."""
    influences = model.influences
    rows = influences.matrix.after(np.eye(len(influences.spreads))[influences.of(Spread.POINTS)])
    length = np.maximum(np.linalg.norm(influences.sections, axis=1), 1e-12)
    own = sorted(set((rows @ influences.sections.T / length).argmax(axis=1).tolist()))
    return tuple(model.names[k] for k in own)
