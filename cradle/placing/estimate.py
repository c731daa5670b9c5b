"""The most likely placing of all sections at once, given every reading with its spread.

Turns are estimated from the outlines' ends as drawn, sizes from ends that tracing
error has been taken off (`cradle.sections.laid.unsteadiness_mm`): the ends of true
things may stand out too, and taking that for tracing error makes turns worse.

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
from cradle.sections.laid import Laid, Lying, heights_of, unsteadiness_mm
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
"""What is found from another start is taken if its loss is smaller by more than this."""
_TRIED = 1e-4
"""From another start the search first ends at a step that lowers the loss by less than this share: that shows how good it is."""
_COMMON_RAD = np.radians([-4.0, 8.0])
"""The search begins again with all sections of the best estimate so far turned by each of these."""
_MISREAD = 0.015
"""Where calipers scale a section by this share more or less than most, they may have been misread."""


@noun
class Estimate:
    """The most likely placing of sections.

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
        """The tilts that the views showing x and y are found to have left, rad; 0 where there is no view."""
        unknowns = Unknowns(sections=len(self.lying))
        across, deep = (float(self.found.values[unknowns.tilt(axis)]) for axis in (0, 1))
        return across, deep


def estimate(
    laid: Sequence[Laid],
    *,
    evidence: Evidence,
    trace_mm: float,
) -> Estimate:
    """The most likely placing of the sections."""
    observations = evidence.observations
    freedom = np.array([o.freedom for o in observations])
    weighed = np.maximum([o.spread if o.weighed is None else o.weighed for o in observations], _LEAST)
    over = [np.zeros(4) for _ in laid]
    model = _model(laid, observations, weighed=weighed, over_mm=over)
    found = adjusted(model, _begin(laid, evidence.start), freedom=freedom)
    found = _from_other_turns(found, model=model, freedom=freedom, sections=len(laid))
    found = _from_other_sizes(found, model=model, freedom=freedom, sections=len(laid))
    # sizes are those of the line about which an outline wavers; turns stay as its ends, as drawn, tell them
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
            lying, observations, gain=gain, weights=found.weights, lean_known=evidence.lean_known
        ),
    )


def _begin(laid: Sequence[Laid], start: Start) -> Floats:
    """The values of all unknowns at which the search begins."""
    unknowns = Unknowns(sections=len(laid))
    values = np.zeros(unknowns.count)
    own = unknowns.placings(values)
    own[:, :TURN], own[:, SCALE_X:] = start.middles_mm, start.scales
    own[:, TURN] = start.turns_rad
    heights = heights_of(laid)
    for axis in (0, 1):
        if len(laid) > 1:
            values[unknowns.lean(axis)] = np.polyfit(heights, start.middles_mm[:, axis], 1)[0]
    return values


def _model(
    laid: Sequence[Laid], observations: Sequence[Observation], *, weighed: Floats, over_mm: Sequence[Floats]
) -> Model:
    """The residuals of all observations and their models' slopes, in the spreads by which they are weighted."""
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
    """The estimate with its turns kept but sections scaled to their calipers, and the change of its values for 1 of each reading, ``(n, m)``.

    Turns rest on the drawing's own scale too. Sizes rest on the calipers alone, as
    tracing error makes the drawing of a long side too large.
    """
    read = Counter(o.section for o in observations if o.kind in CALIPERS)
    enough = {ReadingKind.SCALE: 1, ReadingKind.SCALE_APART: 2}
    ease = np.array([_EASED if read[o.section] >= enough.get(o.kind, np.inf) else 1.0 for o in observations])
    count = Unknowns.sections_of(len(found.values))
    turns = _turns(count)
    turn_gain = (found.gain() / weighed)[turns]
    held = np.zeros((count, len(found.values)))
    held[np.arange(count), turns] = 1.0 / _HELD_RAD
    was = found.values[turns]
    # each reading keeps the weight that it was found to deserve
    ease = ease / np.sqrt(np.clip(found.weights, 1e-6, None))

    def eased(values: Floats) -> tuple[Floats, Floats]:
        left, slopes = model(values)
        return (
            np.concatenate([left / ease, (was - values[turns]) / _HELD_RAD]),
            with_rows(slopes / ease[:, None], held),
        )

    second = adjusted(eased, found.values)
    by_reading, by_turn = np.split(second.gain(), [len(ease)], axis=1)
    gain = by_reading / (ease * weighed) + (by_turn / _HELD_RAD) @ turn_gain
    left, slopes = model(second.values)
    return replace(second, residuals=left, slopes=slopes, weights=found.weights), gain


def _from_other_turns(found: Adjusted, *, model: Model, freedom: Floats, sections: int) -> Adjusted:
    """The best of the estimate and those found with the whole thing turned: extents hardly tell a turn to the left from one to the right."""
    for turn in _COMMON_RAD:
        begin = np.array(found.values)
        begin[_turns(sections)] += turn
        found = _better_from(begin, found, model=model, freedom=freedom)
    return found


def _from_other_sizes(found: Adjusted, *, model: Model, freedom: Floats, sections: int) -> Adjusted:
    """The best of the estimate and those found where one caliper reading at a time is taken as misread, its drawing as right.

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
    """The better of the estimate and the one found from another start, which is searched to its end only if it is better."""
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
    """The posterior: placings about the sections' final middles, and their covariance from the readings' full spreads."""
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
    # the spread of a doubted reading grows as its weight falls
    as_stated = np.sqrt(np.clip(weights, 1e-12, 1.0))
    by_spread = gain * (spread / as_stated)
    return Posterior(
        estimate=frozen(estimate),
        covariance=frozen(by_spread @ by_spread.T),
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
