"""Gaps that were tried: whether the holder is made tighter or looser than a piece that did not go in well."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from cradle.finding import About, Finding, doubt, in_mm
from cradle.fit.belief_update import LIMITS_MM
from cradle.noun import record
from cradle.pocket.clearance import ClearanceProfile
from cradle.project.project import TRIALS_FILE
from cradle.project.trial_log import Outcome, Trial

_ALIKE_MM: Final = 0.005
"""Gaps that differ by less than this are one."""
_WHERE: Final = "fit.clearance"
_GOES_IN: Final = (Outcome.GOOD, Outcome.LOOSE)
_MORE_MM: Final = LIMITS_MM[Outcome.TIGHT][1]
"""A gap wider by this than one that was tight is no longer tight."""


@record
class _Tried:
    """A trial, the gap of the piece that was tried, and the gap that the holder has there, mm; ``beside`` says in words how a lining counts in both."""

    trial: Trial
    tried_mm: float
    has_mm: float
    beside: str


def tighter_than_tried(
    trials: Sequence[Trial], gap: ClearanceProfile, *, names: Sequence[str], gives_mm: float = 0.0
) -> Iterator[Finding]:
    """A finding where the holder's gap is less than one that was noted tight, or no more than a no-go.

    What trials taught may put that down to the printer or to a section's
    readings, rightly; whoever noted it is told all the same.

    Parameters
    ----------
    trials : sequence of Trial
        The project's own, oldest first.
    gap : ClearanceProfile
        As it is in the holder's file, per side, beside its lining.
    names : sequence of k str
        Of the sections.
    gives_mm : float
        How far that lining gives way.
    """
    tried = _tried(
        trials, gap.wider_by(gives_mm), names=names, beside=", its lining pressed" if gives_mm else ""
    )
    tighter = [
        one
        for one in tried
        if (one.trial.seen is Outcome.TIGHT and one.has_mm < one.tried_mm - _ALIKE_MM)
        or (one.trial.seen is Outcome.NO_GO and one.has_mm < one.tried_mm + _ALIKE_MM)
    ]
    if not tighter:
        return
    worst = max(tighter, key=lambda one: one.tried_mm - one.has_mm)
    wider = _wider(
        worst, tried, elsewhere=any(one.seen in _GOES_IN and one.place != worst.trial.place for one in trials)
    )
    yield doubt(
        "tighter-than-tried",
        f"{_has(worst)}, but {_was_noted(worst)}",
        f"{wider}, or take the trial out of {TRIALS_FILE} if it was wrong",
        about=About.FIT,
        where=_WHERE,
        **in_mm(worst.has_mm, limit=worst.tried_mm),
    )


def _wider(tight: _Tried, tried: Sequence[_Tried], *, elsewhere: bool) -> str:
    """How much wider a tight place should be; it alone where the thing goes in elsewhere."""
    here = [one for one in tried if one.trial.place == tight.trial.place]
    good = [one.tried_mm for one in here if one.trial.seen is Outcome.GOOD and one.tried_mm > tight.tried_mm]
    alone = elsewhere and tight.trial.section
    what = f"give {tight.trial.place_words} a clearance of its own," if alone else "make the clearance"
    if good:
        return f"{min(good):.2f} mm was noted good: {what} {min(good) - tight.has_mm:.2f} mm larger"
    return f"{what} {tight.tried_mm + _MORE_MM - tight.has_mm:.2f} mm larger or more"


def looser_than_tried(
    trials: Sequence[Trial],
    gap: ClearanceProfile,
    *,
    names: Sequence[str],
    advice: str,
    gives_mm: float = 0.0,
    section_mm: float | None = None,
) -> tuple[Finding, ...]:
    """A finding where the holder's gap is no less than one that was noted loose, though more was not noted good there.

    A ring goes over one section at a time; the room that a holder has for how
    the sections lie beside each other is felt in the ring all the same.

    Parameters
    ----------
    trials, gap, names, gives_mm
        As for `tighter_than_tried`.
    advice : str
        What makes the holder closer.
    section_mm : float, optional
        The height of a section that it says to measure.
    """
    tried = _tried(trials, gap, names=names, beside=" beside its lining" if gives_mm else "", pressed=False)

    def wider_is_good(than: _Tried) -> bool:
        return any(
            one.trial.seen is not Outcome.LOOSE
            and one.trial.place == than.trial.place
            and one.tried_mm >= than.tried_mm
            for one in tried
        )

    looser = [
        one
        for one in tried
        if one.trial.seen is Outcome.LOOSE
        and one.has_mm > one.tried_mm - _ALIKE_MM
        and not wider_is_good(one)
    ]
    if not looser:
        return ()
    worst = max(looser, key=lambda one: one.has_mm - one.tried_mm)
    found = doubt(
        "looser-than-tried",
        f"{_has(worst)}, and {_was_noted(worst)}: the thing will be loose in the holder too",
        advice,
        section_mm=section_mm,
        where=_WHERE,
        **in_mm(worst.has_mm, limit=worst.tried_mm),
    )
    return (found,)


def _has(one: _Tried) -> str:
    place = "" if one.trial.place is None else f" at {one.trial.place_words}"
    return f"the gap{place} is {one.has_mm:.2f} mm per side in the holder's file{one.beside}"


def _was_noted(one: _Tried) -> str:
    return f'one of {one.tried_mm:.2f} mm was noted "{one.trial.seen}" on {one.trial.date.isoformat()}'


def _tried(
    trials: Sequence[Trial], gap: ClearanceProfile, *, names: Sequence[str], beside: str, pressed: bool = True
) -> list[_Tried]:
    """The trials of pieces that had a gap, at places that the holder has; ``pressed`` says that a piece's lining counts as pressed."""
    pairs = [(trial, _gap_at(trial, gap, names=names)) for trial in trials if trial.gap_mm is not None]
    return [
        _Tried(
            trial=trial,
            tried_mm=trial.widest_gap_mm - (0.0 if pressed else trial.lining_gives_mm),
            has_mm=has_mm,
            beside=beside,
        )
        for trial, has_mm in pairs
        if has_mm is not None
    ]


def _gap_at(trial: Trial, gap: ClearanceProfile, *, names: Sequence[str]) -> float | None:
    """The gap that the holder has where a trial was made, mm; None where it has no such place: above its rim, or of another name."""
    height = trial.height_mm
    if trial.section is not None:
        if trial.section not in names:
            return None
        height = float(gap.heights_mm[list(names).index(trial.section)])
    if height is None:
        return gap.least_mm
    return float(gap.at(np.array([height]))[0]) if height <= gap.held_to_mm else None
