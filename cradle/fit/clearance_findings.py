"""Findings on the clearance: the chance of fit is low, the clearance is more or less than needed, or why it was chosen."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

import numpy as np

from cradle.finding import Command, Finding, doubt, in_mm, in_unit, note
from cradle.fit.advice import MOST_CLEARANCE_MM, Advice
from cradle.fit.chance import CURVE_STEP_MM, Chance
from cradle.fit.chance_words import percent, percent_asked
from cradle.fit.measuring import Measuring
from cradle.fit.model import FitModel
from cradle.fit.trials import Learned
from cradle.fit.uncertainties import PLAIN_WORDS
from cradle.names import listed
from cradle.noun import noun
from cradle.pocket.clearance import STEP_MM, ClearanceProfile
from cradle.project.fit import BESIDE_LINING_MM, LINING_GIVES
from cradle.project.project import TRIALS_FILE, Project
from cradle.sections.reading_spreads import combined

_LOOSE_MM: Final = 0.4
"""A clearance this much above what the chance asked for needs is called loose (our own choice)."""
_LOW_CHANCE: Final = 0.8
"""A chance below this is warned of."""
_MUCH: Final = 0.1
"""A setting that raises the chance by less than this is not advised (our own choice)."""
_TWICE: Final = 2.0
_AS_TOLD: Final = "do what raises the chance of fit"
"""What helps, where a warning of the chance says it already."""
_THICKEST_MM: Final = 6
"""Felt and foam are sold by the sheet up to about this (common practice, no source)."""
_NO_MM: Final = 1e-9
"""Less clearance than this counts as none."""


@noun
class JudgedClearance:
    """The clearance asked for, the chance of fit with it, and the chance that is wanted; ``advice`` where the program chose it."""

    clearance: ClearanceProfile
    chance: Chance
    goal: float
    advice: Advice | None

    @property
    def least_mm(self) -> float:
        """The least clearance asked for, per side."""
        return self.clearance.least_mm

    @property
    def enough_mm(self) -> float | None:
        """The least clearance that reaches the chance wanted; see `clearance_for`."""
        return clearance_for(self.chance, goal=self.goal)

    @property
    def chance_is_low(self) -> bool:
        """Whether the chance is warned of."""
        return self.chance.chance < _LOW_CHANCE

    @property
    def missed(self) -> bool:
        """Whether no clearance reaches the chance wanted."""
        return self.advice is not None and not self.advice.reached

    @property
    def warned(self) -> bool:
        """Whether a warning of the chance says what to measure."""
        return self.missed or self.chance_is_low

    @property
    def follows_chance(self) -> bool:
        """Whether the clearance was chosen by the chance wanted, so that measuring on makes it smaller."""
        return self.advice is not None and self.advice.reached and not self.advice.is_none

    @property
    def smaller_mm(self) -> float | None:
        """The least clearance that reaches the chance wanted, where the user's own is larger; else None."""
        enough_mm = None if self.advice is not None else self.enough_mm
        return None if enough_mm is None or enough_mm > self.least_mm - CURVE_STEP_MM else enough_mm


def clearance_for(chance: Chance, *, goal: float) -> float | None:
    """The least clearance that reaches a chance, mm; None beyond the curve's end and above `MOST_CLEARANCE_MM`."""
    enough = chance.taking(goal)
    return None if enough is None or enough > MOST_CLEARANCE_MM else enough


@noun
class ByShape:
    """The clearance that would be chosen by what is known at each height, in place of an even one, and which settings ask for it."""

    advice: Advice
    settings: str

    def words(self, asked: JudgedClearance) -> str:
        """The settings, and what they bring; empty where that is not much more than what is asked for now."""
        chance = self.advice.chance.chance
        if chance <= asked.chance.chance + (_MUCH if asked.advice is None or not self.advice.reached else 0):
            return ""
        there = percent_asked(asked.goal) if self.advice.reached else percent(chance)
        return (
            f"set {self.settings} (chance of fit {there}, with {self.advice.asked.least_told} mm at the sections"
            " and more room between them, where the shape is a guess)"
        )


def low_chance(asked: JudgedClearance, measuring: Measuring, *, by_shape: ByShape | None) -> Finding:
    """That the chance of fit is low, with what would raise it; ``by_shape`` where the clearance asked for is even."""
    cause, chance = asked.chance.cause, asked.chance.chance
    return doubt(
        "chance-low",
        f"the chance of fit is {100 * chance:.0f} % with {asked.clearance.least_told} mm per side; the thing is "
        f"most often too tight at {cause.height_mm:.1f} mm ({cause.where}); the main uncertainty is "
        f"{PLAIN_WORDS[cause.spread]}",
        (", or " if measuring.helps else "; ").join(
            filter(None, (_how_wider(asked, by_shape=by_shape), measuring.words))
        ),
        section_mm=measuring.section_mm,
        about=measuring.about(cause),
        where="fit.clearance",
        **in_unit("%", 100 * chance, limit=100 * _LOW_CHANCE),
    )


def _how_wider(asked: JudgedClearance, *, by_shape: ByShape | None) -> str:
    """The settings that reach the chance wanted, or come much nearer to it; empty where none do."""
    shaped = by_shape.words(asked) if by_shape else ""
    if shaped or asked.enough_mm is None:
        return shaped
    return f"set clearance = {asked.enough_mm:.2f} (chance of fit {percent_asked(asked.goal)})"


def loose(asked: JudgedClearance, *, lining_mm: float) -> Iterator[Finding]:
    """A finding where far less clearance would be enough: a thing that rattles is held as badly as one that jams."""
    enough_mm = asked.enough_mm
    if enough_mm is None or asked.least_mm - enough_mm <= _LOOSE_MM:
        return
    filled = "" if lining_mm else "; where felt or foam fills the rest, say how thick it is (lining)"
    yield doubt(
        "clearance-loose",
        f"{asked.clearance.least_told} mm per side is more than needed ({enough_mm:.2f} mm): the thing can {asked.chance.play_words}",
        f"{enough_mm:.2f} mm per side already gives a chance of fit of {percent_asked(asked.goal)}; clearance is the gap on "
        f"each side, not on the diameter{filled}",
        where="fit.clearance",
        **in_mm(asked.least_mm, limit=enough_mm + _LOOSE_MM),
    )


def how_smaller(asked: JudgedClearance) -> str:
    """Advice to make a clearance of one's own as small as `JudgedClearance.smaller_mm`."""
    return f"make the clearance smaller: {asked.smaller_mm:.2f} mm still gives a chance of fit of {percent_asked(asked.goal)}"


def how_closer(asked: JudgedClearance, measuring: Measuring) -> str:
    """Advice on a clearance that is loose but no larger than the chance of fit needs."""
    hold_closer = (
        f"to hold it closer, {_AS_TOLD if asked.warned else measuring.words}" if measuring.helps else ""
    )
    if asked.advice is not None:
        return hold_closer or "where that is too loose, choose a clearance yourself"
    less = f"make the clearance smaller, at a chance of fit of less than {percent_asked(asked.goal)}"
    return "; or ".join(filter(None, (hold_closer, less)))


def printer_doubts(learned: Learned, profile: ClearanceProfile, *, project: Project) -> Iterator[Finding]:
    """That the printer's inside error is assumed, and that it may take more than the clearance."""
    belief = learned.after
    worst = (
        belief.expected_mm
        - project.printer.inside_error_mm
        + _TWICE * combined([belief.spread_mm, project.spread.repeat_mm])
    )
    if not belief.measured:
        by_trials = belief != learned.before
        yield note(
            "inside-error-assumed",
            f"the printer's inside error has not been measured: {'by the trials ' if by_trials else ''}"
            f"{belief.expected_mm:.2f} ± {belief.spread_mm:.2f} mm per side is assumed",
            "print one test piece, measure its inside width with calipers",
            command=Command(name="trial", does="record it", said=(("read", "MM"), ("nominal", "MM"))),
            where="printer.inside_error",
        )
    if profile.least_mm + learned.model.gives_mm < worst:
        yield doubt(
            "clearance-under-printer",
            f"the printer may make the pocket up to {worst:.2f} mm per side too small, "
            f"more than the clearance of {profile.least_mm:.2f} mm",
            "measure the printer's inside error, or give more clearance",
            where="fit.clearance",
            **in_mm(profile.least_mm, limit=worst),
        )


def used_up(learned: Learned, profile: ClearanceProfile) -> Iterator[Finding]:
    """A finding where trials ask for less than no clearance: 0 is used then."""
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
        f"{'line it thicker' if learned.model.gives_mm else 'give more clearance'}, or take a trial out of {TRIALS_FILE}",
        where="fit.clearance",
        **in_mm(float(corrections[most])),
    )


def why_chosen(
    learned: Learned,
    advice: Advice,
    measuring: Measuring,
    *,
    asked: JudgedClearance,
    by_shape: ByShape | None,
) -> Finding:
    """What the program chose, and why; ``by_shape`` where the room between sections is not the program's choice."""
    cause, model, goal = advice.driver, learned.model, asked.goal
    if not advice.reached:
        shaped = by_shape.words(asked) if by_shape else ""
        return doubt(
            "clearance-not-enough",
            f"the holder gets the largest clearance, {_largest(learned, advice.asked)}, but the chance of fit is only "
            f"{percent(advice.chance.chance, goal=goal)}, not {percent_asked(goal)}{_taking(advice.chance, goal)}; the main uncertainty is "
            f"{PLAIN_WORDS[cause.spread]} at {cause.height_mm:.1f} mm ({cause.where})",
            ", or ".join(filter(None, (shaped, measuring.words))) + _or_lined(model, advice.chance, goal),
            section_mm=measuring.section_mm,
            about=measuring.about(cause),
            where="fit.clearance",
            **in_unit("%", 100 * advice.chance.chance, limit=100 * goal),
        )
    if advice.is_none:
        at = " at the sections" if advice.asked.between_mm.any() else ""
        return note(
            "clearance-chosen",
            f"the lining gives way far enough for a chance of fit of {percent_asked(goal)} or more: no clearance is added to it{at}",
            where="fit.clearance",
            **in_mm(0.0),
        )
    return note(
        "clearance-chosen",
        f"a clearance of {_by_section(model, advice.asked)} gives a chance of fit of {percent(advice.chance.chance)}; most of it "
        f"allows for {PLAIN_WORDS[cause.spread]}; the tightest place is most often at {cause.height_mm:.1f} mm "
        f"({cause.where}); the thing may then {advice.chance.play_words}",
        f"to hold it closer, {measuring.words}"
        if measuring.helps and not advice.chance.is_held_still
        else "",
        section_mm=measuring.section_mm,
        where="fit.clearance",
        **in_mm(advice.asked.least_mm),
    )


def _largest(learned: Learned, profile: ClearanceProfile) -> str:
    """The most that is advised, as it is asked for and, where that is another figure, with what trials add."""
    added = np.array(learned.corrections_mm)
    most = np.isclose(profile.clearances_mm + added, MOST_CLEARANCE_MM, rtol=0, atol=STEP_MM)
    told = f"{MOST_CLEARANCE_MM:g} mm per side"
    if not most.any() or (np.abs(added[most]) <= STEP_MM).all():
        return told
    figures = listed(sorted({f"{mm:.2f}" for mm in profile.clearances_mm[most]}))
    return f"{told} with what trials add to {figures} mm"


def _by_section(model: FitModel, profile: ClearanceProfile) -> str:
    """The clearance at each section that the holder reaches, and at the rim where that has the least; one figure where all are the same."""
    reached = {
        model.names[k]: f"{profile.clearances_mm[k]:.2f}"
        for k in model.reached()
        if profile.heights_mm[k] <= profile.held_to_mm
    }
    least = f"{profile.least_mm:.2f}"
    if {*reached.values(), least} == {least}:
        return f"{least} mm per side"
    places = [f'{mm} mm at "{name}"' for name, mm in reached.items()]
    if least not in reached.values():
        places.append(f"{least} mm at the rim")
    return f"{listed(places)} per side"


def _or_lined(model: FitModel, chance: Chance, goal: float) -> str:
    """Advice to line the pocket, for a thing that needs more clearance than would hold it; empty where it is lined already, or where that takes a lining thicker than is sold."""
    enough = chance.taking(goal)
    if enough is None or model.gives_mm:
        return ""
    thick_mm = math.ceil((enough - BESIDE_LINING_MM) / LINING_GIVES)
    if thick_mm > _THICKEST_MM:
        return ""
    return f"; or line the pocket: with {thick_mm} mm of felt or foam (lining = {thick_mm}) it gives way where the thing is larger"


def _taking(chance: Chance, goal: float) -> str:
    """What clearance a chance would take, in words; nothing where the draws do not tell."""
    enough = chance.taking(goal)
    return "" if enough is None else f", which would take {enough:.1f} mm"
