"""Model: everything the chance of fit is estimated from, and the draws from it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from typing import Final

import numpy as np

from cradle.fit.bow import bows
from cradle.fit.interpolation_error import InterpolationError, interpolation_error, stated_error, with_hollows
from cradle.fit.places import Places, places_on
from cradle.fit.placing_error import placing_of
from cradle.fit.sensitivities import Influences, influences
from cradle.fit.side_readings import left_by_profiles, unread
from cradle.fit.splay import splays
from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.ring import size
from cradle.loft.body import Body
from cradle.matching.pooled import Pooling
from cradle.matching.ring_stack import RingStack
from cradle.names import between_words, section_words
from cradle.noun import noun
from cradle.placing.place import Placed
from cradle.pocket.clearance import ClearanceProfile
from cradle.pocket.stance import stand_matrix
from cradle.project.project import Project
from cradle.project.side import Side
from cradle.sections.profiles import Profiles

_DRAWS: Final = 2000
"""How many imagined things are drawn: the chance is then known to about one in a hundred."""
LEAST_DRAWS: Final = 300
"""A model gets at least this many draws, however large it is."""
_WORK: Final = 4e9
"""Draws times quantities times places are no more than this, about two seconds' work."""
_SEED: Final = 20101
"""Every holder gets the same draws, so that a chance changes only by what was measured."""
_MODELS: Final = 2
"""The draws of so many models are kept, some MB each."""


@noun
class FitModel:
    """Places, influences, and the sections they belong to.

    Attributes
    ----------
    names : tuple of k str
    section_heights_mm : (k,) float64
    section_sizes_mm : (k, 2) float64
        Their width and depth.
    left_by_another : (j,) float64 or float
        Part of the spread between sections that one more section leaves in all gaps, apart from what it takes from its own.
    learned : (draws, q) float64 or None
        Draws of the quantities as believed after trials (`cradle.fit.learned_draws`); None for the spreads as stated.
    unseen : tuple of Side
        Sides of the thing that no profile and no view shows.
    with_hollows : bool
        Whether outlines of sections have hollows.
    gives_mm : float
        How far the pocket's lining gives way to a thing that is larger.
    """

    places: Places
    influences: Influences
    names: tuple[str, ...]
    section_heights_mm: Floats
    section_sizes_mm: Floats
    left_by_another: Floats | float = 1.0
    learned: Floats | None = None
    unseen: tuple[Side, ...] = ()
    with_hollows: bool = False
    gives_mm: float = 0.0

    def place_name(self, height_mm: float) -> str:
        """Plain words for a height: at a section, between two, or beyond."""
        knots = self.section_heights_mm
        k = int(np.argmin(np.abs(knots - height_mm)))
        if abs(knots[k] - height_mm) < 1e-6:
            return section_words(self.names[k])
        if height_mm < knots[0]:
            return f"below {section_words(self.names[0])}"
        if height_mm > knots[-1]:
            return f"above {section_words(self.names[-1])}"
        above = int(np.searchsorted(knots, height_mm))
        return between_words(self.names[above - 1], self.names[above])

    def reached(self) -> Sequence[int]:
        """Sections that some place within the holder depends on."""
        return [int(k) for k in np.flatnonzero(self.influences.sections.max(axis=1) > 0)]


def fit_model(
    body: Body,
    *,
    placed: Placed,
    stack: RingStack,
    project: Project,
    direction: Floats,
    pooling: Pooling | None = None,
) -> FitModel:
    """The model for a project's body.

    Parameters
    ----------
    direction : (3,) float64
        Unit vector along which the thing is lifted out, in its own frame.
    pooling : Pooling, optional
        How the sections' outlines were pooled; each stays as drawn when left out.
    """
    sections, profiles = placed.sections, placed.profiles
    heights = frozen([s.height_mm for s in sections])
    places = places_on(
        body,
        section_heights_mm=heights.tolist(),
        stand_from_thing=stand_matrix(body.mesh.vertices_mm, lean_deg=project.block.lean_deg),
        top_mm=project.block.height_mm,
        end_mm=project.thing.height_mm,
        direction=direction,
    )
    between = _between(places, body=body, stack=stack, profiles=profiles, project=project)
    left_mm = between.amount_mm * left_by_profiles(places, profiles)
    return FitModel(
        places=places,
        influences=influences(
            places,
            placing_of(places, sections, posterior=placed.posterior, pooling=pooling),
            between=replace(between, amount_mm=left_mm),
            spread=project.spread,
            printer=project.printer,
            chord_gaps_mm=stack.chord_gaps_mm,
        ),
        names=tuple(s.name for s in sections),
        section_heights_mm=heights,
        section_sizes_mm=frozen([size(s.points_mm) for s in sections]),
        left_by_another=frozen(between.left_by_another),
        unseen=profiles.unseen,
        with_hollows=with_hollows(stack, trace_mm=project.spread.trace_mm),
        gives_mm=project.fit.lining_gives_mm,
    )


def _between(
    places: Places, *, body: Body, stack: RingStack, profiles: Profiles, project: Project
) -> InterpolationError:
    """How far the thing may leave the loft between its sections: as stated, or by what is seen of them."""
    if project.spread.between_mm is not None:
        return stated_error(places, stack=stack, half_way_mm=project.spread.between_mm)
    return interpolation_error(
        places,
        stack=stack,
        bows_per_mm=bows(stack, between=project.loft.between),
        trace_mm=project.spread.trace_mm,
        unread=unread(places, profiles),
        splay=splays(places, body=body, lowest_mm=float(stack.heights_mm[0])),
    )


@noun
class StatedDraws:
    """Values of all quantities, in spreads, ``(draws, q)``, all normal, and the standard deviation that each was drawn with."""

    xi: Floats
    scales: Floats


@lru_cache(maxsize=_MODELS)
def drawn(model: FitModel, *, draws: int = _DRAWS) -> Floats:
    """Values of all quantities, in spreads, as now believed, ``(draws, q)``; the same every time, and kept while they are asked for.

    A model of very many quantities and places gets fewer draws, but never
    fewer than `LEAST_DRAWS`.
    """
    if model.learned is not None:
        return model.learned[:draws]
    (stated, rng), flat = _stated(model, draws=draws), model.influences.rectangular
    if flat.any():
        stated.xi[:, flat] = rng.uniform(-np.sqrt(3.0), np.sqrt(3.0), (len(stated.xi), int(flat.sum())))
    return frozen(stated.xi)


def stated_draws(model: FitModel, *, batch: int) -> StatedDraws:
    """Draws from the spreads as stated; those of each batch are others."""
    return _stated(model, draws=_DRAWS, batch=batch)[0]


def _stated(model: FitModel, *, draws: int, batch: int = 0) -> tuple[StatedDraws, np.random.Generator]:
    """Draws from the spreads as stated, and the generator that they come from."""
    influences = model.influences
    draws = min(draws, max(LEAST_DRAWS, int(_WORK / np.prod(influences.matrix.shape))))
    rng = np.random.default_rng(_SEED + batch)
    xi = rng.standard_normal((draws, len(influences.spreads)))
    tails, alike = influences.tails, influences.alike
    own, common = rng.standard_normal((draws, len(tails))), rng.standard_normal((draws, 1))
    factors = np.exp((np.sqrt(1 - alike) * own + np.sqrt(alike) * common) * tails)
    factors /= np.exp(tails**2)  # so that what they multiply keeps its variance of 1
    none = np.ones((draws, 1))  # the last column, number -1, for quantities that no factor multiplies
    scales = np.take(np.concatenate([factors, none], axis=1), influences.mixed, axis=1)
    return StatedDraws(xi=xi * scales, scales=scales), rng


def deviations_mm(model: FitModel, xi: Floats) -> Floats:
    """Outward deviation at every place for every draw, less the room that the way out leaves there and what a lining gives, ``(draws, j)``."""
    deviations = model.influences.matrix.after(xi)
    deviations += model.influences.mean_mm - model.places.room_mm - model.gives_mm
    return deviations


def asked_mm(model: FitModel, profile: ClearanceProfile) -> Floats:
    """The clearance that every place has if this profile is asked for, ``(j,)``, mm."""
    return model.places.clearances_mm(profile.at(model.places.heights_mm))
