"""Learning from trials: what those noted say of sections and printer, and what the next holder's clearance owes to them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from cradle.finding import Finding, ordered
from cradle.fit.belief_update import Rule, updated
from cradle.fit.best_position import seats
from cradle.fit.model import Belief, FitModel, deviations_mm, drawn
from cradle.fit.trial_findings import MOST_CORRECTION_MM, UNLIKELY, capped, unlikely, unusable
from cradle.fit.uncertainties import InsideError, Spread, inside_error
from cradle.geometry.arrays import Bools, Floats, frozen
from cradle.noun import noun, record
from cradle.project.project import Project
from cradle.project.trial_log import Trial, TrialPiece

_SIDE_COS: Final = 0.5
"""A place looks to a side where its normal leans no further from it than 60 degrees."""


@record
class Learned:
    """What trials have taught.

    ``corrections_mm`` is added to the gap at each section, ``inside_mm`` is
    the part of it that is the printer's; ``before`` and ``after`` are the
    beliefs about the printer. ``model`` is the model as now believed.
    """

    model: FitModel
    corrections_mm: tuple[float, ...]
    inside_mm: float
    before: InsideError
    after: InsideError
    findings: tuple[Finding, ...]
    trials: tuple[Trial, ...]
    """Oldest first."""


@noun
class _Lesson:
    """A trial that teaches something: its number among all, and the rule of its piece."""

    number: int
    trial: Trial
    rule: Rule


def learn(model: FitModel, trials: Sequence[Trial], *, project: Project) -> Learned:
    """What the trials teach about sections and printer, oldest first.

    Trials of sections that the project no longer has, or that the holder does
    not reach, teach nothing and are told as findings; so are trials that the
    others make unlikely, and corrections that `MOST_CORRECTION_MM` cuts short.
    """
    before = inside_error(project.printer, project.spread)
    lessons: list[_Lesson] = []
    findings: list[Finding] = []
    for number, trial in enumerate(trials, start=1):
        tried = _places_tried(model, trial)
        if tried.any():
            rule = _rule(model, trial, tried, project=project)
            lessons.append(_Lesson(number=number, trial=trial, rule=rule))
        else:
            findings.append(unusable(model, number, trial))
    belief = _believed(model, lessons, project=project)
    findings += _contradicted(model, lessons, project=project)
    inside = model.influences.of(Spread.INSIDE)
    read = any(lesson.trial.read_mm is not None for lesson in lessons)
    after, moved_inside = _printer(model, belief, replace(before, measured=before.measured or read), inside)
    shift = model.influences.matrix.after((belief.mean * ~inside)[None])[0]
    wanted = _per_section(model, shift) + moved_inside
    corrections = np.clip(wanted, -MOST_CORRECTION_MM, MOST_CORRECTION_MM)
    findings += capped(model, wanted)
    taught = replace(model, belief=belief if lessons else None)
    return Learned(
        model=taught,
        corrections_mm=tuple(float(c) for c in corrections),
        inside_mm=moved_inside,
        before=before,
        after=after,
        findings=ordered(tuple(findings)),
        trials=tuple(trials),
    )


def _believed(model: FitModel, lessons: Sequence[_Lesson], *, project: Project) -> Belief:
    """What is believed of the quantities after some trials."""
    count = len(model.influences.spreads)
    belief = Belief(mean=np.zeros(count), covariance=np.eye(count))
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


def _places_tried(model: FitModel, trial: Trial) -> Bools:
    """The places that the trial tells about, ``(j,)``; none if its section is not there."""
    count = len(model.places.levels)
    tried = np.ones(count, dtype=bool)
    if trial.section is not None:
        if trial.section not in model.names:
            return np.zeros(count, dtype=bool)
        height = model.section_heights_mm[model.names.index(trial.section)]
        tried &= np.abs(model.places.z_mm - height) < 1e-6
    if trial.side is not None:
        tried &= trial.side.outward * model.places.normals[:, trial.side.axis] > _SIDE_COS
    return tried


def _rule(model: FitModel, trial: Trial, tried: Bools, *, project: Project) -> Rule:
    """How tight the piece is, as a linear rule of the quantities; printer included, its compensation not."""
    xi = drawn(replace(model, belief=None))
    deviations = deviations_mm(model, xi) + project.printer.inside_error_mm
    seat = np.ones_like(tried)
    if trial.piece is TrialPiece.TEST_PIECE and trial.section is not None:
        seat = _places_tried(model, replace(trial, side=None))
    directions = model.places.directions
    found = seats(directions[seat], deviations[:, seat], lever_mm=model.places.lever_mm)
    tight = (deviations[:, tried] + found.moves @ directions[tried].T).max(axis=1)
    repeat = model.influences.of(Spread.REPEAT)
    slope = (xi * (tight - tight.mean())[:, None]).mean(axis=0)
    rest = float(np.sqrt(max(float(tight.var()) - float(slope @ slope), 0.0)))
    return Rule(
        mean_mm=float(tight.mean()),
        slope=np.where(repeat, 0.0, slope),  # another print, another repeatability
        rest_mm=rest,
    )


def _printer(
    model: FitModel, belief: Belief, before: InsideError, inside: Bools
) -> tuple[InsideError, float]:
    found = np.flatnonzero(inside)
    if not len(found):
        return before, 0.0
    q = int(found[0])
    unit = model.influences.matrix.largest(q)
    moved = unit * float(belief.mean[q])
    spread = unit * float(np.sqrt(max(belief.covariance[q, q], 0.0)))
    return replace(before, expected_mm=before.expected_mm + moved, spread_mm=spread), moved


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
