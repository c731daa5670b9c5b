"""A tried piece: where it bears on the thing, and how tight each drawn thing is in it."""

from __future__ import annotations

from dataclasses import replace
from typing import Final, Self

import numpy as np

from cradle.fit.belief_update import Rule
from cradle.fit.best_position import seats
from cradle.fit.between_clearance import between_clearance_mm
from cradle.fit.model import FitModel, asked_mm, deviations_mm, drawn
from cradle.fit.places import Places
from cradle.fit.tried_room import further_mm, reached
from cradle.fit.uncertainties import Spread
from cradle.geometry.arrays import Bools, Floats
from cradle.noun import noun
from cradle.pocket.clearance import clearance_profile
from cradle.project.convert import AUTO
from cradle.project.project import Project
from cradle.project.trial_log import Trial, TrialPiece

_AT_MM: Final = 1e-6
"""Heights that differ by less are one."""
_SIDE_COS: Final = 0.5
"""A place looks to a side where its normal leans no further from it than 60 degrees."""


@noun
class _Bearing:
    """Where a tried piece bears on the thing.

    Attributes
    ----------
    share : float
        The weight of this level: a piece between two levels bears at both.
    seat : (j,) bool
        The places that it settles on.
    tried : (j,) bool
        The places that the trial tells about.
    """

    share: float
    seat: Bools
    tried: Bools


@noun
class TriedPiece:
    """A piece on a model's thing.

    Attributes
    ----------
    further_mm : (j,) float64
        How much more gap than its least it has at each place.
    made_good_mm : float
        What is left out of deviations: the printer's stated inside error, which its gap makes good, and what a lining gives.
    """

    bearings: tuple[_Bearing, ...]
    further_mm: Floats
    made_good_mm: float

    @classmethod
    def of(cls, trial: Trial, *, model: FitModel, project: Project) -> Self | None:
        """The piece that was tried; None if the thing no longer has its place, or touches it nowhere.

        Parameters
        ----------
        model : FitModel
            By the spreads as stated. Where a trial of a holder does not say what room that had, and the program chose how
            much it has between sections, it is taken to be what these spreads ask for.
        """
        bearings = _bearings(model, trial)
        if not bearings:
            return None
        further = np.zeros(len(model.places.levels))
        if trial.room is not None and trial.gap_mm is not None:
            further = further_mm(model, room=trial.room, gap_mm=trial.gap_mm)
        elif trial.piece is TrialPiece.HOLDER:
            further = _between_mm(model, project=project)
        return cls(
            bearings=tuple(bearings),
            further_mm=further,
            made_good_mm=project.printer.inside_error_mm + model.gives_mm,
        )

    def tightness_mm(self, places: Places, deviations_mm: Floats) -> Floats:
        """The gap that draws which deviate by ``(n, j)`` mm need of the piece, ``(n,)``, mm."""
        directions, tight = places.directions, np.zeros(len(deviations_mm))
        more = self.made_good_mm - self.further_mm
        for one in self.bearings:
            seat, tried = (deviations_mm[:, of] + more[of] for of in (one.seat, one.tried))
            moves = seats(directions[one.seat], seat, lever_mm=places.lever_mm).moves
            tight += one.share * (tried + moves @ directions[one.tried].T).max(axis=1)
        return tight

    def rule(self, model: FitModel) -> Rule:
        """How tight the piece is, as a linear rule of the quantities, read off draws from the stated spreads."""
        xi = drawn(model)
        tight = self.tightness_mm(model.places, deviations_mm(model, xi))
        slope = (xi * (tight - tight.mean())[:, None]).mean(axis=0)
        rest = float(np.sqrt(max(float(tight.var()) - float(slope @ slope), 0.0)))
        return Rule(
            mean_mm=float(tight.mean()),
            # another print, another repeatability
            slope=np.where(model.influences.of(Spread.REPEAT), 0.0, slope),
            rest_mm=rest,
        )


def _between_mm(model: FitModel, *, project: Project) -> Floats:
    """The further gap that a project's holder has between sections, at each place, ``(j,)``, mm."""
    heights = model.section_heights_mm.tolist()
    between = project.fit.asked_between_mm
    room = clearance_profile(
        heights,
        [None] * len(heights),
        default_mm=0.0,
        between_mm=between_clearance_mm(model) if between == AUTO else float(between),
        held_to_mm=model.places.held_to_mm,
    )
    return asked_mm(model, room)


def _bearings(model: FitModel, trial: Trial) -> list[_Bearing]:
    """Where a tried piece bears on the thing; empty if that has no such place, or touches the piece nowhere."""
    places = model.places
    everywhere = np.ones(len(places.levels), dtype=bool)
    if trial.room is not None:
        everywhere &= reached(model, trial.room)[places.levels]
    height = trial.height_mm
    if trial.section in model.names:
        height = float(model.section_heights_mm[model.names.index(trial.section)])
    elif trial.section is not None:
        return []
    levels = [(1.0, everywhere)] if height is None else _levels_about(places, height)
    side = trial.side
    looks = everywhere if side is None else side.outward * places.normals[:, side.axis] > _SIDE_COS
    ring = trial.piece is TrialPiece.TEST_PIECE
    found = [
        _Bearing(share=share, seat=level if ring else everywhere, tried=tried)
        for share, level in levels
        if (tried := level & looks & everywhere).any()
    ]
    whole = sum(one.share for one in found)
    return [replace(one, share=one.share / whole) for one in found]


def _levels_about(places: Places, height_mm: float) -> list[tuple[float, Bools]]:
    """The places of the level at a height, or of those below and above it, ``(j,)``, the nearer with the greater share."""
    knots = places.heights_mm
    if not knots[0] - _AT_MM < height_mm < knots[-1] + _AT_MM:
        return []
    shares = [float(np.interp(height_mm, knots, one)) for one in np.eye(len(knots))]
    return [(share, places.levels == k) for k, share in enumerate(shares) if share > _AT_MM]
