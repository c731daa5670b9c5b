"""Assessment of the fit: chance, advice and where to measure next, with the findings that follow."""

from __future__ import annotations

from typing import Final

from cradle.finding import Finding
from cradle.fit.advice import Advice
from cradle.fit.chance import Chance, chance_of_fit
from cradle.fit.clearance_findings import (
    AskedChance,
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
from cradle.fit.next_sections import NextSections
from cradle.fit.remedies import SEEN_FROM_THE_SIDE
from cradle.fit.trials import Learned
from cradle.fit.tried_gaps import looser_than_tried, tighter_than_tried
from cradle.noun import noun
from cradle.pocket.clearance import ClearanceProfile
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
    learned : Learned
        The model, with what trials taught.
    profile : ClearanceProfile
        The clearance per side that the pocket has beyond its lining and the printer's stated inside error.
    clearance : ClearanceProfile
        The clearance asked for, before trials added to it: what is told to the user is counted in its least.
    advice : Advice or None
        How the clearance was chosen, where the program chose it.
    """
    model, goal = learned.model, project.chance_of_each
    chance = (
        chance_of_fit(model, profile, asked_least_mm=clearance.least_mm) if advice is None else advice.chance
    )
    asked = AskedChance(clearance=clearance, chance=chance, goal=goal)
    follows = advice is not None and advice.reached and not advice.is_none
    missed = advice is not None and not advice.reached
    told = missed or asked.chance_is_low  # a warning says what to measure
    measuring = Measuring()
    if follows or chance.chance < _SURE:
        gained_at = goal if follows else None
        gains = Gains(model, profile, asked_least_mm=clearance.least_mm, chance=chance, goal=gained_at)
        measuring = worth_measuring(
            model, gains, limit=chance.cause, project=project, goal=goal if told else None
        )
    smaller = how_smaller(asked) if advice is None else ""
    in_file = profile.wider_by(project.printer.inside_error_mm)
    looser = looser_than_tried(
        learned.trials,
        in_file,
        names=model.names,
        gives_mm=model.gives_mm,
        advice=smaller or how_closer(advice, measuring, told=told, goal=goal),
        section_mm=None if told or smaller else measuring.section_mm,
    )
    tighter = tighter_than_tried(learned.trials, in_file, names=model.names, gives_mm=model.gives_mm)
    if advice is None:
        of_clearance = [*loose(asked, lining_mm=project.fit.lining_mm), *used_up(learned, profile)]
    else:
        of_clearance = [why_chosen(model, advice, measuring, goal=goal)]
    of_chance = [] if missed else low_chance(asked, measuring)
    by_sides = bool(model.unseen) and chance.cause.spread in SEEN_FROM_THE_SIDE
    warned_to_measure = bool(measuring.words) and (told or bool(looser and not smaller))
    return FitAssessment(
        chance=chance,
        next=measuring.next,
        where_to_measure=measuring.words,
        closer=follows,
        sides_asked=by_sides and warned_to_measure,
        findings=(
            *of_clearance,
            *of_chance,
            *printer_doubts(learned, profile, project=project),
            *tighter,
            *looser,
        ),
    )
