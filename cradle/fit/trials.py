"""Learning from trials: what those noted say of sections and printer, and what the next holder's clearance owes to them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial
from typing import Final

import numpy as np

from cradle.finding import Finding, ordered
from cradle.fit.belief import Belief
from cradle.fit.belief_update import (
    FEEL_MM,
    InsideReading,
    Rule,
    calipered,
    limits_mm,
    log_likelihood,
    reading_beside,
    reading_of,
    updated,
)
from cradle.fit.learned_draws import learned_draws
from cradle.fit.model import FitModel, deviations_mm
from cradle.fit.trial_findings import (
    MOST_CORRECTION_MM,
    UNLIKELY,
    TriedBefore,
    capped,
    measured_anew,
    print_of_before,
    readings_apart,
    unlikely,
    unusable,
)
from cradle.fit.tried_piece import TriedPiece
from cradle.fit.tried_room import grown_mm
from cradle.fit.uncertainties import InsideError, Spread, inside_error
from cradle.geometry.arrays import Floats, frozen
from cradle.noun import noun, record
from cradle.project.project import Project
from cradle.project.trial_log import Trial
from cradle.sections.reading_spreads import combined

_TELLS: Final = 1e-6
"""Trials that raise the precision (1 / variance) of what is believed of the printer by no more than this part tell nothing of it."""


@record
class Learned:
    """What trials have taught.

    ``corrections_mm`` is added to the gap at each section; ``before`` and ``after``
    say what was and is believed of the printer. ``model`` draws things as they are
    now believed to be.
    """

    model: FitModel
    corrections_mm: tuple[float, ...]
    before: InsideError
    after: InsideError
    findings: tuple[Finding, ...]
    trials: tuple[Trial, ...]
    """Oldest first, with the gap that each piece has to the thing as it is measured now, and what was seen where that still tells of it."""


@noun
class _Lesson:
    """A trial that teaches something: its number among all, and the piece that was tried with its rule, both None for a reading alone."""

    number: int
    trial: Trial
    piece: TriedPiece | None
    rule: Rule | None


def learn(
    model: FitModel, trials: Sequence[Trial], *, project: Project, printer: InsideError | None = None
) -> Learned:
    """What the trials teach about sections and printer, oldest first.

    Trials of sections that the project no longer has, or that the holder does
    not reach, teach nothing but their reading, which tells of the printer
    wherever it was taken, and are told as findings; so are trials where the
    thing was measured anew, those that the others make unlikely, and
    corrections that `MOST_CORRECTION_MM` cuts short.

    Parameters
    ----------
    printer : InsideError, optional
        What trials of another thing told of the printer (`told_of_printer`).
    """
    model = replace(model, learned=None)
    lessons, as_now, findings = _lessons(model, trials, project=project)
    before = inside_error(project.printer, project.spread)
    told = None if printer is None else reading_beside(printer, before)
    teaching = _Teaching(model=model, lessons=tuple(lessons), told=told, project=project)
    belief = teaching.belief()
    findings += teaching.contradicted()
    findings += readings_apart([(lesson.number, lesson.trial) for lesson in lessons], project=project)
    read = any(lesson.trial.read_mm is not None for lesson in lessons)
    read = read or (printer is not None and printer.measured)
    after = _printer(model, belief, replace(before, measured=before.measured or read))
    inside = model.influences.of(Spread.INSIDE)
    shift = model.influences.matrix.after((belief.mean * ~inside)[None])[0]
    wanted = _per_section(model, shift) + float(model.influences.inside_mm @ belief.mean)
    corrections = np.clip(wanted, -MOST_CORRECTION_MM, MOST_CORRECTION_MM)
    findings += capped(model, wanted)
    return Learned(
        model=replace(model, learned=teaching.draws(belief) if lessons or told is not None else None),
        corrections_mm=tuple(float(c) for c in corrections),
        before=before,
        after=after,
        findings=ordered(tuple(findings)),
        trials=tuple(as_now),
    )


@noun
class _Teaching:
    """All that teaches something: lessons, and what was told of the printer."""

    model: FitModel
    lessons: tuple[_Lesson, ...]
    told: InsideReading | None
    project: Project

    def belief(self) -> Belief:
        """What is believed of the quantities after it."""
        belief = Belief.as_stated(len(self.model.influences.spreads))
        if self.told is not None:
            belief = calipered(self.model, belief, self.told)
        for lesson in self.lessons:
            belief, _ = self._updated(belief, lesson)
        return belief

    def contradicted(self) -> Iterator[Finding]:
        """Trials that the others make unlikely."""
        for lesson in self.lessons:
            others = replace(self, lessons=tuple(other for other in self.lessons if other is not lesson))
            _, chance = self._updated(others.belief(), lesson)
            if chance < UNLIKELY:
                yield unlikely(lesson.number, lesson.trial, chance, alone=len(self.lessons) == 1)

    def draws(self, belief: Belief) -> Floats:
        """Draws as believed after it."""
        tried = [(lesson.piece, lesson.trial) for lesson in self.lessons]
        likelihood = partial(trial_likelihood, self.model, tried, told=self.told, project=self.project)
        return learned_draws(self.model, belief, log_likelihood=likelihood)

    def _updated(self, belief: Belief, lesson: _Lesson) -> tuple[Belief, float]:
        return updated(self.model, belief, lesson.trial, rule=lesson.rule, project=self.project)


def _lessons(
    model: FitModel, trials: Sequence[Trial], *, project: Project
) -> tuple[list[_Lesson], list[Trial], list[Finding]]:
    """The trials that teach something; all trials as `Learned` has them; and findings on them."""
    lessons: list[_Lesson] = []
    findings: list[Finding] = []
    as_now: list[Trial] = []
    before: list[TriedBefore] = []
    in_vain: list[tuple[int, Trial]] = []
    pieces = _Pieces(model, project)
    for number, trial in enumerate(trials, start=1):
        grown = 0.0 if trial.gap_mm is None else grown_mm(model, trial)
        if trial.gap_mm is not None and grown:
            one = TriedBefore(number, trial, grown, trial.gap_mm - grown)
            before.append(one)
            trial = replace(trial, gap_mm=one.gap_mm, seen=trial.seen if one.counts else None)
        as_now.append(trial)
        if trial.room is not None:
            findings += print_of_before(model, number, trial, room=trial.room)
        piece, rule = None, None
        if trial.seen is not None:
            piece, rule = pieces.tried(trial)
            if piece is None:
                in_vain.append((number, trial))
        if piece is not None or trial.read_mm is not None:
            lessons.append(_Lesson(number=number, trial=trial, piece=piece, rule=rule))
    return lessons, as_now, [*measured_anew(before), *findings, *unusable(model, in_vain)]


class _Pieces:
    """The pieces that were tried, with their rules; those tried at the same place are made once."""

    def __init__(self, model: FitModel, project: Project) -> None:
        self._model, self._project = model, project
        self._known: dict[object, tuple[TriedPiece, Rule] | tuple[None, None]] = {}

    def tried(self, trial: Trial) -> tuple[TriedPiece, Rule] | tuple[None, None]:
        """The piece of a trial and its rule; nothing if it cannot be placed."""
        place = trial.piece, trial.place, trial.side, trial.room, trial.room and trial.gap_mm
        if place not in self._known:
            piece = TriedPiece.of(trial, model=self._model, project=self._project)
            self._known[place] = (None, None) if piece is None else (piece, piece.rule(self._model))
        return self._known[place]


def told_of_printer(learned: Learned) -> InsideError | None:
    """What trials alone told of the printer, as one normal observation that also teaches other things it prints; None where they told nothing.

    The precision of a normal observation is the difference between those of the beliefs after and before it.
    """
    before, after = learned.before, learned.after
    if not before.spread_mm or not after.spread_mm:
        return None
    was, now = 1 / before.spread_mm**2, 1 / after.spread_mm**2
    if now - was <= _TELLS * was:
        return None
    told_mm = (after.expected_mm * now - before.expected_mm * was) / (now - was)
    return InsideError(
        expected_mm=told_mm, spread_mm=float(np.sqrt(1 / (now - was))), measured=after.measured
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


def trial_likelihood(
    model: FitModel,
    tried: Sequence[tuple[TriedPiece | None, Trial]],
    xi: Floats,
    *,
    told: InsideReading | None = None,
    project: Project,
) -> Floats:
    """Natural logarithm of the likelihood of all that was seen and read, of ``(n, q)`` draws, ``(n,)``.

    What was seen is known to within the hand's feel and the repeatability of each print.

    Parameters
    ----------
    tried : sequence of (TriedPiece or None, Trial)
        None for a reading alone.
    told : InsideReading, optional
        What is told of the printer besides.
    """
    once = np.where(model.influences.of(Spread.REPEAT), 0.0, xi)
    noise = combined([FEEL_MM, project.spread.repeat_mm])
    deviations, tight = deviations_mm(model, once), dict[int, Floats]()
    readings = [told, *(reading_of(trial, project=project) for _, trial in tried)]
    likelihood = np.zeros(len(xi))
    for reading in filter(None, readings):
        missed = reading.found_mm - once @ model.influences.inside_mm
        likelihood -= (missed / reading.spread_mm) ** 2 / 2
    for piece, trial in tried:
        if piece is None or trial.seen is None or trial.gap_mm is None:
            continue
        if id(piece) not in tight:
            tight[id(piece)] = piece.tightness_mm(model.places, deviations)
        limits = limits_mm(trial.seen, gives_mm=trial.lining_gives_mm)
        likelihood += log_likelihood(limits, trial.widest_gap_mm - tight[id(piece)], spread_mm=noise)
    return likelihood
