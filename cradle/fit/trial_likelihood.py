"""How likely each drawn thing is to have shown what trials showed."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cradle.fit.belief_update import FEEL_MM, limits_mm, log_likelihood, reading_of
from cradle.fit.model import FitModel, deviations_mm
from cradle.fit.tried_piece import TriedPiece
from cradle.fit.uncertainties import Spread
from cradle.geometry.arrays import Floats
from cradle.project.project import Project
from cradle.project.trial_log import Trial
from cradle.sections.reading_spreads import combined


def trial_likelihood(
    model: FitModel, tried: Sequence[tuple[TriedPiece | None, Trial]], xi: Floats, *, project: Project
) -> Floats:
    """Natural logarithm of the likelihood of all that was seen and read, of ``(n, q)`` draws, ``(n,)``.

    Each print has a repeatability of its own; what was seen is known to the hand's feel.

    Parameters
    ----------
    tried : sequence of (TriedPiece or None, Trial)
        None for a reading alone.
    """
    once = np.where(model.influences.of(Spread.REPEAT), 0.0, xi)
    noise = combined([FEEL_MM, project.spread.repeat_mm])
    deviations, tight = deviations_mm(model, once), dict[int, Floats]()
    told = np.zeros(len(xi))
    for piece, trial in tried:
        reading = reading_of(trial, project=project)
        if reading is not None:
            told -= ((reading.found_mm - once @ model.influences.inside_mm) / reading.spread_mm) ** 2 / 2
        if piece is None or trial.seen is None or trial.gap_mm is None:
            continue
        if id(piece) not in tight:
            tight[id(piece)] = piece.tightness_mm(model.places, deviations)
        limits = limits_mm(trial.seen, gives_mm=trial.lining_gives_mm)
        told += log_likelihood(limits, trial.widest_gap_mm - tight[id(piece)], spread_mm=noise)
    return told
