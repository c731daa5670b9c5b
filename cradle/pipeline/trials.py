"""Trials on their way: what a tried piece had in its file, and what the trials change."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from cradle.errors import InputError
from cradle.fit.trials import Learned, learn
from cradle.pipeline.clearances import asked_clearance, gap_in_file, taught
from cradle.pipeline.modelling import Inspected, inspect
from cradle.project.project import Project
from cradle.project.trial_log import Piece, Seen, Side, Trial, own_trials


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Tried:
    """All trials of a project, oldest first, and what they change: before and after the last step.

    ``kept`` are those of the whole folder, for its file.
    """

    trials: tuple[Trial, ...]
    kept: tuple[Trial, ...]
    before: Learned
    after: Learned


def noted(
    project: Project,
    *,
    earlier: Sequence[Trial],
    date: datetime.date,
    piece: Piece,
    seen: Seen,
    section: str | None = None,
    clearance_mm: float | None = None,
    side: Side | None = None,
    read_mm: float | None = None,
    should_mm: float | None = None,
) -> Tried:
    """The trials with one more.

    A slice has the clearance it was made for and the printer's stated inside
    error in its file; the holder also has what earlier trials taught.

    Parameters
    ----------
    project : Project
    earlier : sequence of Trial
        Those of the whole folder.
    date : date
    piece, seen, section, side, read_mm, should_mm
        As in `Trial`.
    clearance_mm : float, optional
        What the piece was made for; the project's own for a holder.

    Raises
    ------
    InputError
        If the section is not known, or a slice comes without section or clearance.
    """
    names = [s.name for s in project.sections]
    if section is not None and section not in names:
        raise InputError(
            f"no section is called {section[:60]!r}", where="--section", hint=f"there are {', '.join(names)}"
        )
    if piece is Piece.SLICE and section is None:
        raise InputError(
            "a slice belongs to a section", where="--section", hint=f"name one of {', '.join(names)}"
        )
    if piece is Piece.SLICE and clearance_mm is None:
        raise InputError(
            "a slice has its clearance on it", where="--clearance", hint="give it, per side, in mm"
        )
    if (read_mm is None) != (should_mm is None):
        raise InputError(
            "a reading and what it should be belong together",
            where="--read" if read_mm is None else "--should",
            hint="give both: --read what the calipers say, --should the control dimension",
        )
    inspected = inspect(project, trials=own_trials(earlier, project.file))
    before = inspected.learned
    asked, gap = _gap(inspected, before, piece=piece, section=section, clearance_mm=clearance_mm)
    trial = Trial(
        date=date,
        piece=piece,
        section=section,
        clearance_mm=asked,
        gap_mm=gap,
        seen=seen,
        side=side,
        read_mm=read_mm,
        should_mm=should_mm,
        project=project.file.name,
    )
    return _tried(project, (*earlier, trial), before=before)


def without_last(project: Project, *, earlier: Sequence[Trial]) -> Tried:
    """The folder's trials without the last one of the project's own.

    Raises
    ------
    InputError
        If there is none.
    """
    own = [n for n, trial in enumerate(earlier) if trial.is_of(project.file)]
    if not own:
        raise InputError("there is no trial to take back", where=str(project.file))
    before = inspect(project, trials=own_trials(earlier, project.file)).learned
    return _tried(project, (*earlier[: own[-1]], *earlier[own[-1] + 1 :]), before=before)


def as_kept(project: Project, *, earlier: Sequence[Trial]) -> Tried:
    """The trials as they are; before is the project without any."""
    model = inspect(project).learned.model
    return _tried(project, tuple(earlier), before=learn(model, (), project=project))


def _tried(project: Project, kept: tuple[Trial, ...], *, before: Learned) -> Tried:
    trials = own_trials(kept, project.file)
    return Tried(trials=trials, kept=kept, before=before, after=learn(before.model, trials, project=project))


def _gap(
    inspected: Inspected, learned: Learned, *, piece: Piece, section: str | None, clearance_mm: float | None
) -> tuple[float, float]:
    """What the piece was made for, and the gap in its file, mm."""
    project = inspected.project
    if piece is Piece.SLICE and clearance_mm is not None:
        return clearance_mm, clearance_mm + project.printer.inside_error_mm
    asked, advice = asked_clearance(
        project,
        sections=inspected.sections,
        learned=learned,
        clearance_mm=clearance_mm,
    )
    gap = gap_in_file(taught(asked, learned, advice=advice), project)
    if section is None:
        reached = list(learned.model.reached())
        return float(asked.clearances_mm[reached].min()), float(gap.clearances_mm[reached].min())
    k = learned.model.names.index(section)
    return float(asked.clearances_mm[k]), float(gap.clearances_mm[k])
