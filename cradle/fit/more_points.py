"""What more points of an outline would buy: where few stand for a curve, their chords decide the fit."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from cradle.fit.gain import Gain, Gains
from cradle.fit.model import FitModel, deviations_mm
from cradle.fit.uncertainties import Spread
from cradle.geometry.vectors import unit
from cradle.names import listed
from cradle.noun import record

_LEFT: Final = 0.25
"""Part of an arc's rise above its chord that twice as many points leave: it goes with the chord's square."""


@record
class MorePoints:
    """The sections of which more points are worth reading, and what twice as many gain."""

    names: tuple[str, ...]
    gain: Gain

    def __str__(self) -> str:
        names = listed([f'"{name}"' for name in self.names])
        return (
            f"measure about twice as many points of {names} where {'it is' if len(self.names) == 1 else 'they are'} round "
            f"({self.gain})"
        )


def more_points(model: FitModel, gains: Gains) -> MorePoints | None:
    """The sections of which twice as many points are worth reading; None where they would not help."""
    if not model.influences.of(Spread.POINTS).any():
        return None
    gain = gains.of(deviations_mm(with_more_points(model), gains.xi))
    return MorePoints(names=_few(model), gain=gain) if gain.worth() else None


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
    own = sorted(set((rows @ unit(influences.sections).T).argmax(axis=1).tolist()))
    return tuple(model.names[k] for k in own)
