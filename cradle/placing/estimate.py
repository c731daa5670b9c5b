"""The most likely placing of all sections at once, given every reading with its spread.

Turns are told by the outlines' ends as drawn, sizes by ends that tracing error
has been taken off (`cradle.sections.laid.unsteadiness_mm`): true things have
ends that stand out by themselves, and taking these for tracing error makes
turns worse.

Measured on level outlines of 22 scanned household things, five sections each,
traced with an error of 0.25 mm and laid as they truly lay: 194 caliper readings
less the drawn extents are spread by 0.41 mm, by 0.45 mm with tracing error
taken off. With ends as drawn 20 and 5 of 100 turns (three sections, four
profiles) are off by more than 0.66 and 2.0 degrees, else by 0.73 and 2.5. With
sizes by ends as drawn too, sections lie nearer to the true ones (0.28 instead
of 0.30 mm, rms), but within them: holders of 44 such things need 0.89 instead
of 0.82 mm of clearance.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from cradle.geometry.arrays import Floats, Ints, frozen
from cradle.geometry.vectors import left_of
from cradle.noun import noun
from cradle.placing.evidence import Evidence, Start
from cradle.sections.adjustment import Adjusted, Model, adjusted, slopes_of, with_rows
from cradle.sections.laid import Laid, Lying, unsteadiness_mm
from cradle.sections.observations import Observation, Unknowns
from cradle.sections.posterior import (
    CALIPERS,
    PARAMETERS,
    SCALE_X,
    SCALE_Y,
    TURN,
    Posterior,
    Reading,
    ReadingKind,
    X,
    Y,
)

_LEAST = 1e-6
"""No reading counts as surer than this, whatever is stated."""
_EASED = 100.0
"""Factor on the spreads of a drawing's scale where calipers tell the size."""
_HELD_RAD = 1e-6
"""Spread that holds turns where they were found, while sizes follow the calipers."""
_BETTER = 0.1
"""Loss that another start must save to be taken."""
_TRIED = 1e-4
"""A step from another start that gains less than this share of its loss shows well enough how good it is."""
_COMMON_RAD = np.radians([-4.0, 8.0])
"""Turns of all sections together from which the search begins again, each from the best so far."""
_MISREAD = 0.015
"""A section that calipers scale by so much more or less than the others, in parts of its size, may have been misread."""


@noun
class Estimate:
    """Sections as they lie most likely.

    Attributes
    ----------
    lying : tuple of k Lying
    observations : tuple of m Observation
    found : Adjusted
        Over all unknowns (`Unknowns`).
    left : (m,) float64
        Reading less model, in the readings' own units.
    """

    lying: tuple[Lying, ...]
    observations: tuple[Observation, ...]
    found: Adjusted
    left: Floats
    posterior: Posterior

    @property
    def tilts_rad(self) -> tuple[float, float]:
        """How far the views that show x and y are found to be tilted still; 0 where there is none."""
        unknowns = Unknowns(sections=len(self.lying))
        across, deep = (float(self.found.values[unknowns.tilt(axis)]) for axis in (0, 1))
        return across, deep


def estimate(
    laid: Sequence[Laid],
    *,
    evidence: Evidence,
    trace_mm: float,
) -> Estimate:
    """The sections as they lie most likely.

    Parameters
    ----------
    laid : sequence of k Laid
    evidence : Evidence
        What says how they lie.
    trace_mm : float
        Standard uncertainty of tracing.
    """
    observations = evidence.observations
    freedom = np.array([o.freedom for o in observations])
    weighed = np.maximum([o.spread if o.weighed is None else o.weighed for o in observations], _LEAST)
    over = [np.zeros(4) for _ in laid]
    model = _model(laid, observations, weighed=weighed, over_mm=over)
    found = adjusted(model, _begin(laid, evidence.start), freedom=freedom)
    found = _from_other_turns(found, model=model, freedom=freedom, sections=len(laid))
    found = _from_other_sizes(found, model=model, freedom=freedom, sections=len(laid))
    # the size is that of the line about which an outline wavers; the turn was told by its ends as drawn
    over = [unsteadiness_mm(one, trace_mm=trace_mm) for one in _lying(laid, found.values, over)]
    model = _model(laid, observations, weighed=weighed, over_mm=over)
    found, gain = _to_the_calipers(found, model=model, weighed=weighed, observations=observations)
    lying = _lying(laid, found.values, over)
    left = found.residuals * weighed
    return Estimate(
        lying=tuple(lying),
        observations=observations,
        found=found,
        left=left,
        posterior=_posterior(
            lying,
            observations,
            gain=gain,
            weights=found.weights,
            lean_known=evidence.lean_known,
        ),
    )


def _begin(laid: Sequence[Laid], start: Start) -> Floats:
    """Values of all unknowns from which to search."""
    unknowns = Unknowns(sections=len(laid))
    values = np.zeros(unknowns.count)
    own = unknowns.placings(values)
    own[:, :TURN], own[:, SCALE_X:] = start.middles_mm, start.scales
    own[:, TURN] = start.turns_rad
    heights = np.array([one.spec.height_mm for one in laid])
    for axis in (0, 1):
        if len(laid) > 1:
            values[unknowns.lean(axis)] = np.polyfit(heights, start.middles_mm[:, axis], 1)[0]
    return values


def _model(
    laid: Sequence[Laid], observations: Sequence[Observation], *, weighed: Floats, over_mm: Sequence[Floats]
) -> Model:
    """What is left of all observations, and their slopes, in their spreads."""
    count = Unknowns(sections=len(laid)).count

    def model(values: Floats) -> tuple[Floats, Floats]:
        lying = _lying(laid, values, over_mm)
        left, rows, columns, slopes = np.empty(len(observations)), [], [], []
        for row, observation in enumerate(observations):
            left[row], terms = observation.evaluate(lying, values)
            for unknown, slope in terms:
                rows.append(row)
                columns.append(unknown)
                slopes.append(slope)
        shape = len(observations), count
        return left / weighed, slopes_of(rows, columns, slopes, shape=shape) / weighed[:, None]

    return model


def _to_the_calipers(
    found: Adjusted, *, model: Model, weighed: Floats, observations: Sequence[Observation]
) -> tuple[Adjusted, Floats]:
    """The same turns, the sections scaled to their calipers; and how the values answer to each reading.

    For a turn the drawing's own scale counts too; for the size the calipers
    alone do, as tracing error makes a long side's drawing too large.
    """
    read = Counter(o.section for o in observations if o.kind in CALIPERS)
    enough = {ReadingKind.SCALE: 1, ReadingKind.SCALE_APART: 2}
    ease = np.array([_EASED if read[o.section] >= enough.get(o.kind, np.inf) else 1.0 for o in observations])
    count = Unknowns.sections_of(len(found.values))
    turns = _turns(count)
    gain = found.gain() / weighed
    held = np.zeros((count, len(found.values)))
    held[np.arange(count), turns] = 1.0 / _HELD_RAD
    was = found.values[turns]
    ease = ease / np.sqrt(np.clip(found.weights, 1e-6, None))  # doubts stay as they were

    def freer(values: Floats) -> tuple[Floats, Floats]:
        left, slopes = model(values)
        return (
            np.concatenate([left / ease, (was - values[turns]) / _HELD_RAD]),
            with_rows(slopes / ease[:, None], held),
        )

    second = adjusted(freer, found.values)
    by_reading, by_turn = np.split(second.gain(), [len(ease)], axis=1)
    known = by_reading / (ease * weighed) + (by_turn / _HELD_RAD) @ gain[turns]
    left, slopes = model(second.values)
    return replace(second, residuals=left, slopes=slopes, weights=found.weights), known


def _from_other_turns(found: Adjusted, *, model: Model, freedom: Floats, sections: int) -> Adjusted:
    """The best of what is found where the whole thing stands askew to the calipers: extents hardly tell a turn to the left from one to the right."""
    for turn in _COMMON_RAD:
        begin = np.array(found.values)
        begin[_turns(sections)] += turn
        found = _better_from(begin, found, model=model, freedom=freedom)
    return found


def _from_other_sizes(found: Adjusted, *, model: Model, freedom: Floats, sections: int) -> Adjusted:
    """The best of what is found where drawings are right and calipers were misread, each extent by itself.

    A search that begins at the calipers' sizes ends there, even where all else speaks against one of them.
    """
    own = Unknowns(sections=sections).placings(found.values)[:, SCALE_X:]
    usual = float(np.median(own))
    for section, axis in np.argwhere(np.abs(own / usual - 1.0) > _MISREAD).tolist():
        at = PARAMETERS * section + SCALE_X + axis
        begin = np.array(found.values)
        begin[at] = usual
        found = _better_from(begin, found, model=model, freedom=freedom)
    return found


def _turns(sections: int) -> Ints:
    """Where the turns stand among all unknowns."""
    return PARAMETERS * np.arange(sections) + TURN


def _better_from(begin: Floats, found: Adjusted, *, model: Model, freedom: Floats) -> Adjusted:
    """What is found from another start, where that is better; followed to its end only where it is."""
    other = adjusted(model, begin, freedom=freedom, gained=_TRIED)
    if other.loss >= found.loss - _BETTER:
        return found
    return adjusted(model, other.values, freedom=freedom)


def _lying(laid: Sequence[Laid], values: Floats, over_mm: Sequence[Floats]) -> list[Lying]:
    return [
        Lying(laid=one, values=own, over_mm=stand_out)
        for one, own, stand_out in zip(
            laid, Unknowns(sections=len(laid)).placings(values), over_mm, strict=True
        )
    ]


def _posterior(
    lying: Sequence[Lying],
    observations: Sequence[Observation],
    *,
    gain: Floats,
    weights: Floats,
    lean_known: tuple[bool, bool],
) -> Posterior:
    """The placing about the middles as they came to lie, and its covariance from the readings' true spreads."""
    count = PARAMETERS * len(lying)
    to_middles = np.eye(count)
    estimate = np.empty((len(lying), PARAMETERS))
    for i, one in enumerate(lying):
        middle = one.middle_mm()
        plain = (middle - one.values[:TURN]) / one.scale
        at = slice(PARAMETERS * i, PARAMETERS * (i + 1))
        own = to_middles[at, at]
        own[:TURN, TURN] = left_of(plain) * one.scale
        own[X, SCALE_X], own[Y, SCALE_Y] = plain
        estimate[i] = *middle, *one.values[TURN:]
    spread = np.array([o.spread for o in observations])
    gain = to_middles @ gain[:count]
    as_stated = np.sqrt(np.clip(weights, 1e-12, 1.0))  # a reading that was doubted is worth its weight
    known = gain * (spread / as_stated)
    return Posterior(
        estimate=frozen(estimate),
        covariance=frozen(known @ known.T),
        readings=tuple(
            Reading(
                kind=o.kind,
                section=o.section,
                spread=o.spread,
                own=o.spread if o.own is None else o.own,
                ends_mm=frozen(lying[o.section].ends_at(o.ends)),
            )
            for o in observations
        ),
        gain=frozen(gain),
        lean_known=lean_known,
    )
