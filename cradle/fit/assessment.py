"""Assessment of the fit: chance, advice and where to measure next, with the findings that follow."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from cradle.finding import Finding
from cradle.fit.advice import Advice, advised_clearance
from cradle.fit.between_clearance import between_clearance_mm
from cradle.fit.chance import Chance, chance_of_fit
from cradle.fit.clearance_findings import (
    ByShape,
    JudgedClearance,
    how_closer,
    how_smaller,
    loose,
    low_chance,
    printer_doubts,
    used_up,
    why_chosen,
)
from cradle.fit.gain import Gains
from cradle.fit.measuring import Measuring, worth_measuring
from cradle.fit.model import FitModel
from cradle.fit.next_sections import NextSections
from cradle.fit.remedies import SEEN_FROM_THE_SIDE
from cradle.fit.trials import Learned
from cradle.fit.tried_gaps import looser_than_tried, tighter_than_tried
from cradle.fit.uncertainties import Spread
from cradle.noun import noun
from cradle.pocket.clearance import ClearanceProfile
from cradle.project.convert import AUTO
from cradle.project.project import Project

_SURE: Final = 0.99
"""Where the chance is at least this, nothing is said of what to measure next, unless the clearance follows the chance."""


@noun
class FitAssessment:
    """Chance of fit, where to measure next and the findings; ``next`` is None where no template would help.

    ``closer`` says that the clearance follows the chance asked for: measuring on makes it smaller; ``sides_asked`` that
    a warning asks for profiles or views of sides that nothing shows.
    """

    chance: Chance
    next: NextSections | None
    where_to_measure: str
    closer: bool
    sides_asked: bool
    findings: tuple[Finding, ...]


def assess_fit(
    learned: Learned,
    profile: ClearanceProfile,
    *,
    clearance: ClearanceProfile,
    project: Project,
    advice: Advice | None,
) -> FitAssessment:
    """The assessment of the fit at a clearance.

    Parameters
    ----------
    profile : ClearanceProfile
        The clearance per side that the pocket has beyond its lining and the printer's stated inside error.
    clearance : ClearanceProfile
        The clearance asked for, before trials added to it: what is told to the user is counted in its least.
    advice : Advice or None
        How the clearance was chosen, where the program chose it.
    """
    model = learned.model
    chance = (
        chance_of_fit(model, profile, asked_least_mm=clearance.least_mm) if advice is None else advice.chance
    )
    asked = JudgedClearance(clearance=clearance, chance=chance, goal=project.chance_of_each, advice=advice)
    measuring = _measuring(model, profile, asked=asked, project=project)
    in_file = profile.wider_by(project.printer.inside_error_mm)
    looser = _looser(learned, in_file, asked=asked, measuring=measuring)
    by_sides = bool(model.unseen) and chance.cause.spread in SEEN_FROM_THE_SIDE
    warned_to_measure = bool(measuring.words) and (
        asked.warned or (bool(looser) and asked.smaller_mm is None)
    )
    return FitAssessment(
        chance=chance,
        next=measuring.next,
        where_to_measure=measuring.words,
        closer=asked.follows_chance,
        sides_asked=by_sides and warned_to_measure,
        findings=(
            *_of_clearance(learned, profile, asked=asked, measuring=measuring, project=project),
            *printer_doubts(learned, profile, project=project),
            *tighter_than_tried(learned.trials, in_file, names=model.names, gives_mm=model.gives_mm),
            *looser,
        ),
    )


def _measuring(
    model: FitModel, profile: ClearanceProfile, *, asked: JudgedClearance, project: Project
) -> Measuring:
    """What is worth measuring next; nothing where the chance is high enough."""
    if not asked.follows_chance and asked.chance.chance >= _SURE:
        return Measuring()
    gains = Gains(
        model,
        profile,
        asked_least_mm=asked.least_mm,
        chance=asked.chance,
        goal=asked.goal if asked.follows_chance else None,
    )
    goal = asked.goal if asked.warned else None
    return worth_measuring(model, gains, limit=asked.chance.cause, project=project, goal=goal)


def _of_clearance(
    learned: Learned,
    profile: ClearanceProfile,
    *,
    asked: JudgedClearance,
    measuring: Measuring,
    project: Project,
) -> Iterator[Finding]:
    """Why the clearance was chosen or, of one of the user's own, whether it is too much; and that the chance of fit is low."""
    if asked.advice is None:
        yield from loose(asked, lining_mm=project.fit.lining_mm)
        yield from used_up(learned, profile)
    else:
        yield why_chosen(
            learned,
            asked.advice,
            measuring,
            asked=asked,
            by_shape=_following_the_shape(learned, asked=asked, project=project),
        )
    if asked.chance_is_low and not asked.missed:
        yield low_chance(
            asked, measuring, by_shape=_following_the_shape(learned, asked=asked, project=project)
        )


def _following_the_shape(learned: Learned, *, asked: JudgedClearance, project: Project) -> ByShape | None:
    """The clearance that the program would choose with room where the shape is a guess, where it was not asked to and the thing is too tight there.

    Of a room between sections of the user's own none where an even clearance reaches the chance wanted.
    """
    fit, given = project.fit, [section.clearance_mm for section in project.sections]
    own = fit.between_mm is not None
    if (
        fit.asked_between_mm == AUTO
        or any(mm is not None for mm in given)
        or asked.follows_chance
        or (own and asked.enough_mm is not None)
        or asked.chance.cause.spread is not Spread.BETWEEN
    ):
        return None
    clearance = [] if fit.clearance_mm == AUTO else ['clearance = "auto"']
    between = ['between = "auto" under [fit]'] if own else []
    return ByShape(
        advice=advised_clearance(
            learned.model,
            goal=asked.goal,
            given_mm=given,
            added_mm=learned.corrections_mm,
            between_mm=between_clearance_mm(learned.model),
        ),
        settings=" and ".join([*clearance, *between]),
    )


def _looser(
    learned: Learned, in_file: ClearanceProfile, *, asked: JudgedClearance, measuring: Measuring
) -> tuple[Finding, ...]:
    """A finding where a gap no wider than the holder's was noted loose, with what makes it closer."""
    own = asked.smaller_mm is not None
    return looser_than_tried(
        learned.trials,
        in_file,
        names=learned.model.names,
        gives_mm=learned.model.gives_mm,
        advice=how_smaller(asked) if own else how_closer(asked, measuring),
        section_mm=None if own or asked.warned else measuring.section_mm,
    )
