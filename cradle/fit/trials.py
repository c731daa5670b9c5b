"""Learning from trials: what those noted say of sections and printer, and what the next holder's clearance owes to them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from cradle.finding import Finding, ordered
from cradle.fit.belief import Belief
from cradle.fit.belief_update import Rule, updated
from cradle.fit.best_position import seats
from cradle.fit.model import FitModel, deviations_mm, drawn
from cradle.fit.places import Places
from cradle.fit.trial_findings import (
    MOST_CORRECTION_MM,
    UNLIKELY,
    TriedBefore,
    capped,
    measured_anew,
    unlikely,
    unusable,
)
from cradle.fit.tried_size import grown_mm
from cradle.fit.uncertainties import InsideError, Spread, inside_error
from cradle.geometry.arrays import Bools, Floats, frozen
from cradle.noun import noun, record
from cradle.project.project import Project
from cradle.project.trial_log import Trial, TrialPiece

_AT_MM: Final = 1e-6
"""Heights that differ by less are one."""
_SIDE_COS: Final = 0.5
"""A place looks to a side where its normal leans no further from it than 60 degrees."""


@record
class Learned:
    """What trials have taught.

    ``corrections_mm`` is added to the gap at each section; ``before`` and
    ``after`` are the beliefs about the printer. ``model`` is the model as now
    believed.
    """

    model: FitModel
    corrections_mm: tuple[float, ...]
    before: InsideError
    after: InsideError
    findings: tuple[Finding, ...]
    trials: tuple[Trial, ...]
    """Oldest first, with the gap that each piece has to the thing as it is measured now."""


@noun
class _Lesson:
    """A trial that teaches something: its number among all, and the rule of its piece, None for a reading alone."""

    number: int
    trial: Trial
    rule: Rule | None


@noun
class _Bearing:
    """Where a tried piece bears on the thing.

    Attributes
    ----------
    share : float
        How much of what was seen is told of this level: a piece between two levels bears at both.
    seat : (j,) bool
        The places that it settles on.
    tried : (j,) bool
        Those that the trial tells about.
    """

    share: float
    seat: Bools
    tried: Bools


def learn(model: FitModel, trials: Sequence[Trial], *, project: Project) -> Learned:
    """What the trials teach about sections and printer, oldest first.

    Trials of sections that the project no longer has, or that the holder does
    not reach, teach nothing but their reading, which tells of the printer
    wherever it was taken, and are told as findings; so are trials where the
    thing was measured anew, those that the others make unlikely, and
    corrections that `MOST_CORRECTION_MM` cuts short.
    """
    lessons, as_now, findings = _lessons(model, trials, project=project)
    belief = _believed(model, lessons, project=project)
    findings += _contradicted(model, lessons, project=project)
    before = inside_error(project.printer, project.spread)
    read = any(lesson.trial.read_mm is not None for lesson in lessons)
    after = _printer(model, belief, replace(before, measured=before.measured or read))
    inside = model.influences.of(Spread.INSIDE)
    shift = model.influences.matrix.after((belief.mean * ~inside)[None])[0]
    wanted = _per_section(model, shift) + float(model.influences.inside_mm @ belief.mean)
    corrections = np.clip(wanted, -MOST_CORRECTION_MM, MOST_CORRECTION_MM)
    findings += capped(model, wanted)
    return Learned(
        model=replace(model, belief=belief if lessons else None),
        corrections_mm=tuple(float(c) for c in corrections),
        before=before,
        after=after,
        findings=ordered(tuple(findings)),
        trials=tuple(as_now),
    )


def _lessons(
    model: FitModel, trials: Sequence[Trial], *, project: Project
) -> tuple[list[_Lesson], list[Trial], list[Finding]]:
    """The trials that teach something, all of them with the gap to the thing as measured now, and what is told of them."""
    lessons: list[_Lesson] = []
    findings: list[Finding] = []
    as_now: list[Trial] = []
    before: list[TriedBefore] = []
    for number, trial in enumerate(trials, start=1):
        grown = 0.0 if trial.gap_mm is None else grown_mm(model, trial)
        if trial.gap_mm is not None and grown:
            before.append(TriedBefore(number, trial, grown, trial.gap_mm - grown))
            trial = replace(trial, gap_mm=before[-1].gap_mm)
        as_now.append(trial)
        rule = None
        if trial.seen is not None and abs(grown) <= MOST_CORRECTION_MM:
            bearings = _bearings(model, trial)
            if bearings:
                rule = _rule(model, bearings, project=project)
            else:
                findings.append(unusable(model, number, trial))
        if rule is not None or trial.read_mm is not None:
            lessons.append(_Lesson(number=number, trial=trial, rule=rule))
    return lessons, as_now, [*measured_anew(before), *findings]


def _believed(model: FitModel, lessons: Sequence[_Lesson], *, project: Project) -> Belief:
    """What is believed of the quantities after some trials."""
    belief = Belief.as_stated(len(model.influences.spreads))
    for lesson in lessons:
        belief, _ = updated(model, belief, lesson.trial, rule=lesson.rule, project=project)
    return belief


def _contradicted(model: FitModel, lessons: Sequence[_Lesson], *, project: Project) -> list[Finding]:
    """Trials that the others make unlikely."""
    found = []
    for lesson in lessons:
        others = _believed(model, [other for other in lessons if other is not lesson], project=project)
        _, chance = updated(model, others, lesson.trial, rule=lesson.rule, project=project)
        if chance < UNLIKELY:
            found.append(unlikely(lesson.number, lesson.trial, chance, alone=len(lessons) == 1))
    return found


def _bearings(model: FitModel, trial: Trial) -> list[_Bearing]:
    """Where the tried piece bears; nothing if its place is not there or nothing touches it."""
    places = model.places
    everywhere = np.ones(len(places.levels), dtype=bool)
    height = trial.height_mm
    if trial.section in model.names:
        height = float(model.section_heights_mm[model.names.index(trial.section)])
    elif trial.section is not None:
        return []
    levels = [(1.0, everywhere)] if height is None else _levels_about(places, height)
    side = trial.side
    looks = everywhere if side is None else side.outward * places.normals[:, side.axis] > _SIDE_COS
    ring = trial.piece is TrialPiece.TEST_PIECE
    return [
        _Bearing(share=share, seat=level if ring else everywhere, tried=level & looks)
        for share, level in levels
        if (level & looks).any()
    ]


def _levels_about(places: Places, height_mm: float) -> list[tuple[float, Bools]]:
    """The places of the level at a height, or of those below and above it, ``(j,)``, the nearer with the greater share."""
    knots = places.heights_mm
    if not knots[0] - _AT_MM < height_mm < knots[-1] + _AT_MM:
        return []
    shares = [float(np.interp(height_mm, knots, one)) for one in np.eye(len(knots))]
    return [(share, places.levels == k) for k, share in enumerate(shares) if share > _AT_MM]


def _rule(model: FitModel, bearings: Sequence[_Bearing], *, project: Project) -> Rule:
    """How tight the piece is, as a linear rule of the quantities; printer included, its compensation not."""
    xi = drawn(replace(model, belief=None))
    deviations = deviations_mm(model, xi) + project.printer.inside_error_mm
    directions = model.places.directions

    def tightness(seat: Bools, tried: Bools) -> Floats:
        found = seats(directions[seat], deviations[:, seat], lever_mm=model.places.lever_mm)
        most: Floats = (deviations[:, tried] + found.moves @ directions[tried].T).max(axis=1)
        return most

    tight = np.average(
        [tightness(one.seat, one.tried) for one in bearings],
        axis=0,
        weights=[one.share for one in bearings],
    )
    repeat = model.influences.of(Spread.REPEAT)
    slope = (xi * (tight - tight.mean())[:, None]).mean(axis=0)
    rest = float(np.sqrt(max(float(tight.var()) - float(slope @ slope), 0.0)))
    return Rule(
        mean_mm=float(tight.mean()),
        slope=np.where(repeat, 0.0, slope),  # another print, another repeatability
        rest_mm=rest,
    )


def _printer(model: FitModel, belief: Belief, before: InsideError) -> InsideError:
    """What is believed of the printer after some trials."""
    slope = model.influences.inside_mm
    if not slope.any():
        return before
    variance = float(belief.covariance_with(slope) @ slope)
    return replace(
        before,
        expected_mm=before.expected_mm + float(slope @ belief.mean),
        spread_mm=float(np.sqrt(max(variance, 0.0))),
    )


def _per_section(model: FitModel, shift_mm: Floats) -> Floats:
    """Mean outward shift around each section, ``(k,)``; sections out of reach take their neighbour's."""
    at = model.places.z_mm
    found = np.full(len(model.names), np.nan)
    for k, height in enumerate(model.section_heights_mm):
        own = np.abs(at - height) < 1e-6
        if own.any():
            found[k] = shift_mm[own].mean()
    known = np.flatnonzero(~np.isnan(found))
    if not len(known):
        return np.zeros(len(found))
    return np.interp(model.section_heights_mm, model.section_heights_mm[known], found[known])


def corrected(values_mm: Floats, learned: Learned) -> Floats:
    """Clearances of the sections with what trials taught added, never below 0, ``(k,)``, mm."""
    return frozen(np.maximum(np.asarray(values_mm) + np.array(learned.corrections_mm), 0.0))
