"""Findings on trials: those without effect, those that the others contradict, and corrections cut short."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

import numpy as np

from cradle.finding import About, Finding, Severity, doubt, in_mm, in_unit
from cradle.fit.belief_update import reading_of
from cradle.fit.model import FitModel
from cradle.fit.tried_room import SAME_MM, sizes_grown_mm
from cradle.fit.uncertainties import inside_error
from cradle.geometry.arrays import Floats
from cradle.names import first_of, listed
from cradle.project.project import TRIALS_FILE, Project
from cradle.project.trial_log import Room, Trial

UNLIKELY: Final = 0.05
"""A trial that the rest makes less likely than this is told; a reading alone is never."""
_APART: Final = 5.0
"""Two readings of one printer differ by no more than this many spreads (our own choice),"""
_LEAST_APART_MM: Final = 0.15
"""or by this much per side, by which holes of different size come out (from memory)."""
_RARE: Final = 0.001
"""A chance below this is not told closer: nobody knows the tail of a spread so well."""
MOST_CORRECTION_MM: Final = 0.5
"""No correction goes further; more is not a fit correction but a mistaken section."""
_ELSEWHERE: Final = (
    f"write into {TRIALS_FILE} what the section is called now, or, where it is gone, the height it had, such as height = 12, "
    "in place of its name; or take out what was tried there"
)


def _where(trial: Trial) -> str:
    return "as a whole" if trial.place is None else f"at {trial.place_words}"


def _name(number: int, trial: Trial) -> str:
    where = _where(trial)
    if trial.piece is None or trial.clearance_mm is None:
        return f"trial {number} of {trial.date.isoformat()} (a reading {where})"
    return f"trial {number} of {trial.date.isoformat()} ({trial.piece.replace('-', ' ')} {where}, {trial.clearance_mm:g} mm)"


def _names(tried: Sequence[tuple[int, Trial]]) -> str:
    """Trials of one place by their numbers; one alone by all that it says."""
    if len(tried) == 1:
        return _name(*tried[0])
    return f"trials {listed([str(number) for number, _ in tried])} {_where(tried[0][1])}"


def unusable(model: FitModel, tried: Sequence[tuple[int, Trial]]) -> list[Finding]:
    """That what was seen in some trials teaches nothing, and why; once for all of a place."""
    alike: dict[str | float | None, list[tuple[int, Trial]]] = {}
    for number, trial in tried:
        alike.setdefault(trial.place, []).append((number, trial))
    return [_in_vain(model, ones) for ones in alike.values()]


def _in_vain(model: FitModel, tried: Sequence[tuple[int, Trial]]) -> Finding:
    here = tried[0][1].section in (None, *model.names)
    why = (
        "the thing does not come near the holder there: it is above the rim, or the pocket is wider to let the thing out"
        if here
        else "the thing has no such section; it has " + first_of([f'"{name}"' for name in model.names])
    )
    return Finding(
        code="trial-unusable",
        severity=Severity.NOTE if here else Severity.WARN,
        message=f"{_names(tried)}: what was seen has no effect: {why}",
        where="trials",
        advice="" if here else _ELSEWHERE,
    )


class TriedBefore(NamedTuple):
    """A trial made before the thing was measured anew, ``grown_mm`` larger per side there: the gap it has now is ``gap_mm``."""

    number: int
    trial: Trial
    grown_mm: float
    gap_mm: float

    @property
    def counts(self) -> bool:
        """Whether what was seen tells of the thing of now."""
        return abs(self.grown_mm) <= MOST_CORRECTION_MM


def print_of_before(model: FitModel, number: int, trial: Trial, *, room: Room) -> Iterator[Finding]:
    """A note where the thing was measured anew since a noted holder was printed; it tells where that changed it most."""
    grown = sizes_grown_mm(model, room)
    level, axis = np.unravel_index(int(np.abs(grown).argmax()), grown.shape)
    most = float(grown[level, axis])
    if abs(most) <= SAME_MM:
        return
    yield Finding(
        code="measured-anew",
        severity=Severity.NOTE,
        message=f"{_name(number, trial)}: the thing was measured anew since: {abs(most):.2f} mm "
        f"{'larger' if most > 0 else 'smaller'} per side at {model.places.heights_mm[level]:.1f} mm; "
        "what was seen counts for the room that this print leaves it",
        where="trials",
    )


def measured_anew(tried: Sequence[TriedBefore]) -> list[Finding]:
    """That the thing was measured anew where trials were made, once for all of a place that grew by as much."""
    alike: dict[tuple[str | float | None, str], list[TriedBefore]] = {}
    for one in tried:
        alike.setdefault((one.trial.place, f"{one.grown_mm:.2f}"), []).append(one)
    return [_anew(ones) for ones in alike.values()]


def _anew(tried: Sequence[TriedBefore]) -> Finding:
    first, name = tried[0], _names([(one.number, one.trial) for one in tried])
    noted, counts = (
        ("this was noted", "it counts as a gap")
        if len(tried) == 1
        else ("these were noted", "they count as gaps")
    )
    gaps = listed([f"{one.gap_mm:.2f}" for one in tried])
    way = "larger" if first.grown_mm > 0 else "smaller"
    return Finding(
        code="measured-anew",
        severity=Severity.NOTE if first.counts else Severity.WARN,
        message=f"{name}: by its readings the thing is now {abs(first.grown_mm):.2f} mm per side {way} there "
        f"than when {noted}; {f'{counts} of {gaps} mm' if first.counts else 'what was seen has no effect'}",
        advice="" if first.counts else "try a ring of the new outline",
        where="trials",
        **in_mm(first.grown_mm, limit=MOST_CORRECTION_MM),
    )


def readings_apart(tried: Sequence[tuple[int, Trial]], *, project: Project) -> Iterator[Finding]:
    """That two readings tell of the printer what cannot both be right; of more than two the ones farthest apart."""
    errors = inside_error(project.printer, project.spread).expected_mm
    told = [
        (found.found_mm + errors, found.spread_mm, number)
        for number, trial in tried
        if (found := reading_of(trial, project=project)) is not None
    ]
    if len(told) < 2:
        return
    low, high = min(told), max(told)
    apart_mm, limit = high[0] - low[0], max(_LEAST_APART_MM, _APART * float(np.hypot(low[1], high[1])))
    if apart_mm <= limit:
        return
    (one, by_one), (other, by_other) = sorted((number, _error_words(mm)) for mm, _, number in (low, high))
    yield doubt(
        "readings-apart",
        f"trials {one} and {other}: by one reading the printer makes insides {by_one} per side, by the other {by_other}: "
        "both count, and what they teach may be right for neither",
        f"read both prints again, inside and half way up, beside what each should read, and take a wrong one out of {TRIALS_FILE}",
        about=About.FIT,
        where="trials",
        **in_mm(apart_mm, limit=limit),
    )


def _error_words(error_mm: float) -> str:
    return f"{abs(error_mm):.2f} mm too {'small' if error_mm >= 0 else 'large'}"


def unlikely(number: int, trial: Trial, chance: float, *, alone: bool) -> Finding:
    """That a trial saw what the rest expects in only a share ``chance`` of cases; ``alone``: there is no other trial."""
    against = "the measurements" if alone else "the measurements and the other trials"
    return doubt(
        "trial-contradicts",
        f'{_name(number, trial)}: by {against}, "{trial.seen!s}" happens in {_rarely(chance)} of cases',
        f"try it again, check that the piece was the one noted, or take the trial out of {TRIALS_FILE}",
        about=About.FIT,
        where="trials",
        **in_unit("%", 100 * chance, limit=100 * UNLIKELY),
    )


def _rarely(chance: float) -> str:
    """A small chance in words, such as "only 3 %"."""
    return f"only {100 * chance:.1g} %" if chance >= _RARE else f"less than {100 * _RARE:g} %"


def capped(model: FitModel, wanted_mm: Floats) -> Iterator[Finding]:
    """One finding for all sections whose correction is cut short, with the largest."""
    over = np.flatnonzero(np.abs(wanted_mm) > MOST_CORRECTION_MM)
    if not len(over):
        return
    worst = over[np.argmax(np.abs(wanted_mm[over]))]
    others = ("", " and too much at another", f" and too much at {len(over) - 1} others")[
        min(len(over), 3) - 1
    ]
    way = "more" if wanted_mm[worst] > 0 else "less"
    yield doubt(
        "correction-capped",
        f"the trials ask for {abs(wanted_mm[worst]):.2f} mm {way} per side at section "
        f'"{model.names[worst]}"{others}: only {MOST_CORRECTION_MM:.2f} mm is used',
        f"that is more than a fit correction: measure the section again, or take a trial out of {TRIALS_FILE}",
        where="trials",
        **in_mm(float(wanted_mm[worst]), limit=float(np.copysign(MOST_CORRECTION_MM, wanted_mm[worst]))),
    )
