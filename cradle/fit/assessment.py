"""Assessment of the fit: chance, advice and where to measure next, with the findings that follow."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from cradle.finding import About, Command, Finding, doubt, in_mm, in_unit, note
from cradle.fit.advice import MOST_CLEARANCE_MM, Advice
from cradle.fit.chance import CURVE_STEP_MM, Cause, Chance, chance_of_fit
from cradle.fit.gain import Gains
from cradle.fit.model import FitModel
from cradle.fit.more_points import more_points
from cradle.fit.next_sections import NextSections, next_sections
from cradle.fit.remedies import SEEN_FROM_THE_SIDE, may_be_turned, measuring_advice, what_helps
from cradle.fit.trials import Learned
from cradle.fit.tried_gaps import looser_than_tried, tighter_than_tried
from cradle.fit.uncertainties import PLAIN_WORDS, Spread
from cradle.names import listed
from cradle.noun import noun
from cradle.pocket.clearance import ClearanceProfile
from cradle.project.project import TRIALS_FILE, Project
from cradle.sections.reading_spreads import combined

_LOOSE_MM: Final = 0.4
"""A clearance this much above what the chance asked for needs is called loose (our own choice)."""
_LOW_CHANCE: Final = 0.8
"""A chance below this is warned of."""
_PLENTY: Final = 24
"""Among more sections than this one more makes no difference."""
_SURE: Final = 0.99
"""Where the chance is no less, nothing is said of measuring on."""
_TWICE: Final = 2.0
_AS_TOLD: Final = "do what raises the chance of fit"
"""What helps, where a warning of the chance says it already."""
_NO_MM: Final = 1e-9
"""Less clearance than this is none."""


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
    asked_mm: float,
    project: Project,
    advice: Advice | None,
) -> FitAssessment:
    """The assessment of the fit at a clearance.

    Parameters
    ----------
    learned : Learned
        The model, with what trials taught.
    profile : ClearanceProfile
        The clearance per side that the pocket has beyond the printer's stated inside error.
    asked_mm : float
        The least clearance asked for, before trials added to it: what is told to the user is counted in it.
    advice : Advice or None
        How the clearance was chosen, where the program chose it.
    """
    model, goal = learned.model, project.chance_of_each
    chance = chance_of_fit(model, profile, asked_least_mm=asked_mm) if advice is None else advice.chance
    missed = advice is not None and not advice.reached
    follows = advice is not None and advice.reached
    told = missed or chance.chance < _LOW_CHANCE
    measuring = _Measuring()
    if follows or chance.chance < _SURE:
        gained_at = goal if follows else None
        gains = Gains(model, profile, asked_least_mm=asked_mm, chance=chance, goal=gained_at)
        measuring = _worth_measuring(
            model, gains, limit=chance.cause, project=project, goal=goal if told else None
        )
    enough_mm = clearance_for(chance, goal=goal)
    if advice is None:
        smaller = _smaller(enough_mm, asked_mm, goal=goal)
        of_clearance = (*_loose(chance, enough_mm, asked_mm, goal=goal), *_used_up(learned, profile))
    else:
        smaller, of_clearance = "", (_chosen(model, advice, measuring, goal=goal),)
    closer = smaller or _closer(advice, measuring, told=told, goal=goal)
    in_file = profile.wider_by(project.printer.inside_error_mm)
    looser = looser_than_tried(
        learned.trials,
        in_file,
        names=model.names,
        advice=closer,
        section_mm=None if told or smaller else measuring.section_mm,
    )
    findings = (
        *of_clearance,
        *(() if missed else _low(chance, enough_mm, asked_mm, measuring=measuring, goal=goal)),
        *_printer(learned, profile, project=project),
        *tighter_than_tried(learned.trials, in_file, names=model.names),
        *looser,
    )
    by_sides = bool(model.unseen) and chance.cause.spread in SEEN_FROM_THE_SIDE
    warned_to_measure = bool(measuring.words) and (told or bool(looser and not smaller))
    return FitAssessment(
        chance=chance,
        next=measuring.next,
        where_to_measure=measuring.words,
        closer=follows,
        sides_asked=by_sides and warned_to_measure,
        findings=findings,
    )


@noun
class _Measuring:
    """The sections to measure next, whether anything is worth measuring, and what, in a sentence; nothing where the chance is high enough."""

    next: NextSections | None = None
    helps: bool = False
    words: str = ""

    @property
    def section_mm(self) -> float | None:
        """The height of the first of them; None where there is none."""
        return None if self.next is None else self.next.first_mm

    def about(self, cause: Cause) -> About:
        """What is in doubt where something makes the thing too tight: the shape, where measuring would tell it, else the fit."""
        return About.SHAPE if self.helps and cause.spread is Spread.BETWEEN else About.FIT


def _worth_measuring(
    model: FitModel, gains: Gains, *, limit: Cause, project: Project, goal: float | None
) -> _Measuring:
    """What is worth measuring; sections as many as reach a chance of fit, if one is asked for."""
    few = len(model.section_heights_mm) <= _PLENTY
    found = next_sections(model, gains, goal=goal) if few else None
    highest = float(model.section_heights_mm[-1])
    helps = what_helps(
        found,
        points=more_points(model, gains),
        limited_by=limit.spread,
        unseen=model.unseen,
        sections=len(model.section_heights_mm) if project.spread.between_mm is None else None,
        turned=may_be_turned(project),
        measured_to_mm=highest if limit.height_mm > highest else None,
    )
    return _Measuring(next=found, helps=bool(helps), words=measuring_advice(helps, limited_by=limit.spread))


def clearance_for(chance: Chance, *, goal: float) -> float | None:
    """The least clearance that reaches a chance, mm; None beyond the curve's end and above `MOST_CLEARANCE_MM`."""
    enough = chance.taking(goal)
    return None if enough is None or enough > MOST_CLEARANCE_MM else enough


def _low(
    chance: Chance, enough_mm: float | None, asked_mm: float, *, measuring: _Measuring, goal: float
) -> Iterator[Finding]:
    if chance.chance >= _LOW_CHANCE:
        return
    cause = chance.cause
    wider = "" if enough_mm is None else f"set clearance = {enough_mm:.2f} (chance of fit {100 * goal:.0f} %)"
    yield doubt(
        "chance-low",
        f"the chance of fit is {100 * chance.chance:.0f} % with {asked_mm:.2f} mm per side; the thing is "
        f"most often too tight at {cause.height_mm:.1f} mm ({cause.where}); the main uncertainty is "
        f"{PLAIN_WORDS[cause.spread]}",
        (", or " if measuring.helps else "; ").join(filter(None, (wider, measuring.words))),
        section_mm=measuring.section_mm,
        about=measuring.about(cause),
        where="fit.clearance",
        **in_unit("%", 100 * chance.chance, limit=100 * _LOW_CHANCE),
    )


def _loose(chance: Chance, enough_mm: float | None, asked_mm: float, *, goal: float) -> Iterator[Finding]:
    """A finding where far less clearance would do: a thing that rattles is held as badly as one that jams."""
    if enough_mm is None or asked_mm - enough_mm <= _LOOSE_MM:
        return
    yield doubt(
        "clearance-loose",
        f"{asked_mm:.2f} mm per side is more than needed ({enough_mm:.2f} mm): the thing can {chance.play_words}",
        f"{enough_mm:.2f} mm per side already gives a chance of fit of {100 * goal:.0f} %; clearance is the gap on "
        "each side, not on the diameter; leave it where a lining such as felt fills the rest",
        where="fit.clearance",
        **in_mm(asked_mm, limit=enough_mm + _LOOSE_MM),
    )


def _smaller(enough_mm: float | None, asked_mm: float, *, goal: float) -> str:
    """What to do about a clearance of one's own that is loose, where less of it still gives the chance of fit; else nothing."""
    if enough_mm is None or enough_mm > asked_mm - CURVE_STEP_MM:
        return ""
    return f"make the clearance smaller: {enough_mm:.2f} mm still gives a chance of fit of {100 * goal:.0f} %"


def _closer(advice: Advice | None, measuring: _Measuring, *, told: bool, goal: float) -> str:
    """What to do about a clearance that is loose and no larger than the chance of fit needs; ``told`` where a warning says what to measure."""
    hold_closer = f"to hold it closer, {_AS_TOLD if told else measuring.words}" if measuring.helps else ""
    if advice is not None:
        return hold_closer or "where that is too loose, choose a clearance yourself"
    less = f"make the clearance smaller, at a chance of fit of less than {100 * goal:.0f} %"
    return "; or ".join(filter(None, (hold_closer, less)))


def _printer(learned: Learned, profile: ClearanceProfile, *, project: Project) -> tuple[Finding, ...]:
    belief = learned.after
    worst = (
        belief.expected_mm
        - project.printer.inside_error_mm
        + _TWICE * combined([belief.spread_mm, project.spread.repeat_mm])
    )
    findings = []
    if not belief.measured:
        by_trials = belief != learned.before
        findings.append(
            note(
                "inside-error-assumed",
                f"the printer's inside error has not been measured: {'by the trials ' if by_trials else ''}"
                f"{belief.expected_mm:.2f} ± {belief.spread_mm:.2f} mm per side is assumed",
                "print one test piece, measure its inside width with calipers",
                command=Command(name="trial", does="record it", said=(("read", "MM"), ("nominal", "MM"))),
                where="printer.inside_error",
            )
        )
    if profile.least_mm < worst:
        findings.append(
            doubt(
                "clearance-under-printer",
                f"the printer may make the pocket up to {worst:.2f} mm per side too small, "
                f"more than the clearance of {profile.least_mm:.2f} mm",
                "measure the printer's inside error, or give more clearance",
                where="fit.clearance",
                **in_mm(profile.least_mm, limit=worst),
            )
        )
    return tuple(findings)


def _used_up(learned: Learned, profile: ClearanceProfile) -> Iterator[Finding]:
    """A finding where trials take away all clearance there is: it is never less than 0."""
    corrections = np.array(learned.corrections_mm)
    used_up = np.flatnonzero((corrections < 0) & (profile.clearances_mm < _NO_MM))
    if not len(used_up):
        return
    most = used_up[np.argmin(corrections[used_up])]
    names = listed([f'"{learned.model.names[k]}"' for k in used_up])
    up_to = "up to " if len(used_up) > 1 else ""
    yield doubt(
        "clearance-used-up",
        f"the trials ask for {up_to}{-corrections[most]:.2f} mm less per side at {names}, the whole clearance "
        "there or more: a clearance of 0 is used",
        f"give more clearance, or take a trial out of {TRIALS_FILE}",
        where="fit.clearance",
        **in_mm(float(corrections[most])),
    )


def _by_section(model: FitModel, profile: ClearanceProfile) -> str:
    """The clearance at each section that the holder reaches, in words; one figure where it is the same at all."""
    reached = {
        model.names[k]: f"{profile.clearances_mm[k]:.2f}"
        for k in model.reached()
        if profile.heights_mm[k] <= profile.held_to_mm
    }
    if len(set(reached.values())) == 1:
        return f"{next(iter(reached.values()))} mm per side"
    return listed([f'{mm} mm at "{name}"' for name, mm in reached.items()]) + " per side"


def below(percent: float, goal: float) -> str:
    """A percentage that misses a goal, with as many decimals as tell it from the goal.

    Examples
    --------
    >>> below(57.7, 95.0), below(94.96, 95.0)
    ('58', '94.9')
    """
    rounded = f"{percent:.0f}"
    return rounded if rounded != f"{goal:.0f}" else f"{min(percent, goal - 0.1):.1f}"


def _taking(chance: Chance, goal: float) -> str:
    """What clearance a chance would take, in words; nothing where the draws do not tell."""
    enough = chance.taking(goal)
    return "" if enough is None else f", which would take {enough:.1f} mm"


def _chosen(model: FitModel, advice: Advice, measuring: _Measuring, *, goal: float) -> Finding:
    """What the program chose, and why."""
    cause, percent = advice.driver, 100 * goal
    if not advice.reached:
        return doubt(
            "clearance-not-enough",
            f"the holder gets the largest clearance, {MOST_CLEARANCE_MM:g} mm per side, but the chance of fit is only "
            f"{below(100 * advice.chance.chance, percent)} %, not {percent:.0f} %{_taking(advice.chance, goal)}; the main uncertainty is "
            f"{PLAIN_WORDS[cause.spread]} at {cause.height_mm:.1f} mm ({cause.where})",
            measuring.words,
            section_mm=measuring.section_mm,
            about=measuring.about(cause),
            where="fit.clearance",
            **in_unit("%", 100 * advice.chance.chance, limit=percent),
        )
    return note(
        "clearance-chosen",
        f"a clearance of {_by_section(model, advice.asked)} gives a chance of fit of {percent:.0f} %; most of it "
        f"allows for {PLAIN_WORDS[cause.spread]}; the tightest place is most often at {cause.height_mm:.1f} mm "
        f"({cause.where}); the thing may then {advice.chance.play_words}",
        f"to hold it closer, {measuring.words}" if measuring.helps else "",
        section_mm=measuring.section_mm,
        where="fit.clearance",
        **in_mm(advice.asked.least_mm),
    )
