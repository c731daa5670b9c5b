"""The most likely placing of all sections at once, given every reading with its spread."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from cradle.geometry.arrays import Floats, frozen
from cradle.sections.adjustment import Adjusted, Model, adjusted
from cradle.sections.laid import Laid, Lying, unsteadiness_mm
from cradle.sections.observations import Observation, Unknowns
from cradle.sections.posterior import PARAMETERS, Posterior, Reading, ReadingKind

_ROUNDS = 1
_LEAST = 1e-6
"""No reading counts as surer than this, whatever is stated."""
_EASED = 100.0
_HELD_RAD = 1e-6
_BETTER = 0.1
_COMMON_RAD = np.radians([-4.0, 8.0])
_SAME_RAD = np.radians(1.0)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
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
    posterior : Posterior
    """

    lying: tuple[Lying, ...]
    observations: tuple[Observation, ...]
    found: Adjusted
    left: Floats
    posterior: Posterior


def estimate(
    laid: Sequence[Laid],
    *,
    observations: Sequence[Observation],
    start_mm: Floats,
    start_rad: Sequence[Sequence[float]],
    start_scale: Floats,
    lean_known: tuple[bool, bool] = (True, True),
    trace_mm: float = 0.0,
) -> Estimate:
    """The sections as they lie most likely.

    Parameters
    ----------
    laid : sequence of k Laid
    observations : sequence of Observation
        Enough to settle every unknown.
    start_mm, start_scale : (k, 2) float64
        About where the middles lie, and the scale there.
    start_rad : for each section one or more
        Turns from which to search, the likeliest first.
    lean_known : (bool, bool)
        Whether anything measured says how the sections lie beside each other.
    """
    count = Unknowns(sections=len(laid)).count
    start = np.zeros(count)
    own = start[: PARAMETERS * len(laid)].reshape(-1, PARAMETERS)
    own[:, :2], own[:, 3:] = start_mm, start_scale
    own[:, 2] = [turns[0] for turns in start_rad]
    heights = np.array([one.spec.height_mm for one in laid])
    for axis in (0, 1):
        if len(laid) > 1:
            start[Unknowns(sections=len(laid)).lean(axis)] = np.polyfit(heights, start_mm[:, axis], 1)[0]
    weighed = np.maximum([o.weighed for o in observations], _LEAST)

    over = [np.zeros(4) for _ in laid]

    def model(values: Floats) -> tuple[Floats, Floats]:
        lying = _lying(laid, values, over)
        left, slopes = np.empty(len(observations)), np.zeros((len(observations), count))
        for row, observation in enumerate(observations):
            left[row], terms = observation.evaluate(lying, values)
            for unknown, slope in terms:
                slopes[row, unknown] += slope
        return left / weighed, slopes / weighed[:, None]

    freedom = np.array([o.freedom for o in observations])
    found = adjusted(model, start, freedom=freedom)
    found = _from_other_turns(found, model=model, freedom=freedom, start_rad=start_rad)
    for _ in range(_ROUNDS):  # which points are the ends depends on the turn
        over = [unsteadiness_mm(one, trace_mm=trace_mm) for one in _lying(laid, found.values, over)]
        found = adjusted(model, found.values, freedom=freedom)
    gain = found.gain / weighed
    found, gain = _to_the_calipers(found, gain, model=model, weighed=weighed, observations=observations)
    lying = _lying(laid, found.values, over)
    left = found.residuals[: len(observations)] * weighed
    return Estimate(
        lying=tuple(lying),
        observations=tuple(observations),
        found=found,
        left=left,
        posterior=_posterior(
            lying, observations, gain=gain, weights=found.weights, left=left, lean_known=lean_known
        ),
    )


def _to_the_calipers(
    found: Adjusted, gain: Floats, *, model: Model, weighed: Floats, observations: Sequence[Observation]
) -> tuple[Adjusted, Floats]:
    """The same turns, the sections scaled to their calipers; and how the values answer to each reading.

    To tell a turn the drawing's own scale counts; for the size the calipers
    do, whatever a long side's tracing error does to the drawing's.
    """
    read = {o.section for o in observations if o.kind in (ReadingKind.WIDTH, ReadingKind.DEPTH)}
    ease = np.array(
        [_EASED if o.section in read and o.kind is ReadingKind.SCALE else 1.0 for o in observations]
    )
    by_axis = {
        s: sum(o.section == s and o.kind in (ReadingKind.WIDTH, ReadingKind.DEPTH) for o in observations)
        for s in read
    }
    ease *= np.array(
        [
            _EASED if o.kind is ReadingKind.SCALE_APART and by_axis.get(o.section, 0) == 2 else 1.0
            for o in observations
        ]
    )
    count = Unknowns.sections_of(len(found.values))
    turns = PARAMETERS * np.arange(count) + 2
    held = np.zeros((count, len(found.values)))
    held[np.arange(count), turns] = 1.0 / _HELD_RAD
    was = found.values[turns]
    ease = ease / np.sqrt(np.clip(found.weights, 1e-6, None))  # doubts stay as they were

    def freer(values: Floats) -> tuple[Floats, Floats]:
        left, slopes = model(values)
        return (
            np.concatenate([left / ease, (was - values[turns]) / _HELD_RAD]),
            np.concatenate([slopes / ease[:, None], held]),
        )

    second = adjusted(freer, found.values)
    known = (
        second.gain[:, : len(ease)] / (ease * weighed)
        + (second.gain[:, len(ease) :] / _HELD_RAD) @ gain[turns]
    )
    left, _ = model(second.values)
    return replace(second, residuals=left, weights=found.weights), known


def _from_other_turns(
    found: Adjusted, *, model: Model, freedom: Floats, start_rad: Sequence[Sequence[float]]
) -> Adjusted:
    """The best of what is found from other turns: extents hardly tell a turn to the left from one to the right."""
    turns = np.arange(len(start_rad)) * PARAMETERS + 2
    for turn in _COMMON_RAD:  # the whole thing may stand askew to the calipers
        begin = np.array(found.values)
        begin[turns] += np.where([len(of) > 1 or len(start_rad) == 1 for of in start_rad], turn, 0.0)
        if np.array_equal(begin, found.values):
            break
        found = _better(found, adjusted(model, begin, freedom=freedom))
    for at, of in zip(turns, start_rad, strict=True):
        for turn in of:
            if abs(found.values[at] - turn) > _SAME_RAD:
                begin = np.array(found.values)
                begin[at] = turn
                found = _better(found, adjusted(model, begin, freedom=freedom))
    return found


def _better(found: Adjusted, other: Adjusted) -> Adjusted:
    return other if other.loss < found.loss - _BETTER else found


def _lying(laid: Sequence[Laid], values: Floats, over: Sequence[Floats]) -> list[Lying]:
    return [
        Lying(laid=one, values=values[PARAMETERS * i : PARAMETERS * (i + 1)], over_mm=over[i])
        for i, one in enumerate(laid)
    ]


def _posterior(
    lying: Sequence[Lying],
    observations: Sequence[Observation],
    *,
    gain: Floats,
    weights: Floats,
    left: Floats,
    lean_known: tuple[bool, bool],
) -> Posterior:
    """The placing about the middles as they came to lie, and its covariance from the readings' true spreads."""
    count = PARAMETERS * len(lying)
    to_middles = np.eye(count)
    estimate = np.empty((len(lying), PARAMETERS))
    for i, one in enumerate(lying):
        middle = one.middle_mm()
        scale = one.values[3:]
        plain = (middle - one.values[:2]) / scale
        at = slice(PARAMETERS * i, PARAMETERS * (i + 1))
        to_middles[at, at][:2, 2] = np.array([-plain[1], plain[0]]) * scale
        to_middles[at, at][0, 3], to_middles[at, at][1, 4] = plain
        estimate[i] = *middle, *one.values[2:]
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
                residual=float(r),
                spread=o.spread,
                own=0.0 if o.kind in (ReadingKind.HEIGHT, ReadingKind.INSTRUMENT) else o.own,
                slope=1.0 if o.kind is ReadingKind.HEIGHT else 0.0,
                ends_mm=frozen(lying[o.section].ends_at(o.ends)),
            )
            for o, r in zip(observations, left, strict=True)
        ),
        gain=frozen(gain),
        lean_known=lean_known,
    )
