"""Gaps that were tried: whether the holder is made tighter or looser than a piece that did not go in well."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from cradle.finding import About, Finding, doubt, in_mm
from cradle.fit.belief_update import LIMITS_MM
from cradle.pocket.clearance import ClearanceProfile
from cradle.project.project import TRIALS_FILE
from cradle.project.trial_log import Outcome, Trial

_ALIKE_MM: Final = 0.005
"""Gaps that differ by less are one."""
_GOES_IN: Final = (Outcome.GOOD, Outcome.LOOSE)
_MORE_MM: Final = LIMITS_MM[Outcome.TIGHT][1]
"""So much more than one that just went in is no longer tight."""


def tighter_than_tried(
    trials: Sequence[Trial], gap: ClearanceProfile, *, names: Sequence[str]
) -> tuple[Finding, ...]:
    """A finding where the holder's gap is less than one that was noted tight, or no more than a no-go.

    What trials taught may put that down to the printer or to a section's
    readings, rightly; whoever noted it is told all the same.

    Parameters
    ----------
    trials : sequence of Trial
        The project's own, oldest first.
    gap : ClearanceProfile
        As it is in the holder's file, per side.
    names : sequence of k str
        Of the sections.
    """
    found = []
    for trial in trials:
        has_mm = _gap_at(trial, gap, names=names)
        if trial.gap_mm is None or has_mm is None:
            continue
        tighter = trial.seen is Outcome.TIGHT and has_mm < trial.gap_mm - _ALIKE_MM
        no_wider = trial.seen is Outcome.NO_GO and has_mm < trial.gap_mm + _ALIKE_MM
        if tighter or no_wider:
            found.append((trial.gap_mm, has_mm, trial))
    if not found:
        return ()
    tried_mm, has_mm, trial = max(found, key=lambda one: one[0] - one[1])
    good = [
        other.gap_mm
        for other in trials
        if other.seen is Outcome.GOOD
        and other.gap_mm is not None
        and other.gap_mm > tried_mm
        and other.place == trial.place
    ]
    elsewhere = any(other.seen in _GOES_IN and other.place != trial.place for other in trials)
    what = f"give {trial.place_words} a clearance of its own," if elsewhere and trial.section else ""
    wider = (
        f"{min(good):.2f} mm was noted good: {what or 'make the clearance'} {min(good) - has_mm:.2f} mm larger"
        if good
        else f"{what or 'make the clearance'} {tried_mm + _MORE_MM - has_mm:.2f} mm larger or more"
    )
    advice = f"{wider}, or take the trial out of {TRIALS_FILE} if it was wrong"
    return (
        _told(
            "tighter-than-tried",
            trial,
            has_mm=has_mm,
            tried_mm=tried_mm,
            joined="but",
            advice=advice,
            about=About.FIT,
        ),
    )


def looser_than_tried(
    trials: Sequence[Trial], gap: ClearanceProfile, *, names: Sequence[str], advice: str
) -> tuple[Finding, ...]:
    """A finding where the holder's gap is no less than one that was noted loose, though more was not noted good there.

    A ring goes over one section at a time; the room that a holder has for how
    the sections lie beside each other is felt in the ring all the same.

    Parameters
    ----------
    trials, gap, names
        As for `tighter_than_tried`.
    advice : str
        What makes the holder closer.
    """
    found = []
    for trial in trials:
        has_mm = _gap_at(trial, gap, names=names)
        if trial.seen is not Outcome.LOOSE or trial.gap_mm is None or has_mm is None:
            continue
        wider_is_good = any(
            other.seen is not Outcome.LOOSE
            and other.gap_mm is not None
            and other.gap_mm >= trial.gap_mm
            and other.place == trial.place
            for other in trials
        )
        if has_mm > trial.gap_mm - _ALIKE_MM and not wider_is_good:
            found.append((trial.gap_mm, has_mm, trial))
    if not found:
        return ()
    tried_mm, has_mm, trial = max(found, key=lambda one: one[1] - one[0])
    told = _told("looser-than-tried", trial, has_mm=has_mm, tried_mm=tried_mm, joined="and", advice=advice)
    return (replace(told, message=f"{told.message}: the thing will be loose in the holder too"),)


def _told(
    code: str,
    trial: Trial,
    *,
    has_mm: float,
    tried_mm: float,
    joined: str,
    advice: str,
    about: About = About.MEASURED,
) -> Finding:
    """The gap that the holder has where a trial was made, beside the one that was tried."""
    place = "" if trial.place is None else f" at {trial.place_words}"
    return doubt(
        code,
        f"the gap{place} is {has_mm:.2f} mm per side in the holder's file, {joined} one of {tried_mm:.2f} mm "
        f'was noted "{trial.seen}" on {trial.date.isoformat()}',
        advice,
        about=about,
        where="fit.clearance",
        **in_mm(has_mm, limit=tried_mm),
    )


def _gap_at(trial: Trial, gap: ClearanceProfile, *, names: Sequence[str]) -> float | None:
    """The gap that the holder has where a trial was made, mm; None where it has no such place."""
    if trial.height_mm is not None:
        return float(gap.at(np.array([trial.height_mm]))[0])
    if trial.section is None:
        return gap.least_mm
    if trial.section not in names:
        return None
    return float(gap.clearances_mm[list(names).index(trial.section)])
