"""Trials on their way: what a tried piece had in its file, and what the trials change."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from cradle.errors import InputError, located
from cradle.fit.model import FitModel
from cradle.fit.trials import Learned, learn
from cradle.fit.tried_room import gap_in, room_of, size_there_mm
from cradle.names import first_of
from cradle.noun import noun, record
from cradle.pipeline.clearances import AskedClearance, asked_clearance, ring_clearances_mm
from cradle.pipeline.printed_holder import printed_holder
from cradle.pipeline.steps import PLAIN, Steps
from cradle.project.other_words import likely_meant
from cradle.project.project import TRIALS_FILE, Project
from cradle.project.trial_log import MOST_TRIALS, Trial, TrialPiece, entered_mistakes, own_trials
from cradle.result.rings_to_try import check_height
from cradle.result.thing_model import ThingModel


def drafted(value: Callable[[str], Any]) -> Trial:
    """The trial that a maker enters today, its gap not worked out; its clearance is what the piece was made for, None for the project's own.

    Parameters
    ----------
    value : callable
        From a key of `cradle.project.trial_log.Trial` to what was entered for it, None where nothing was. Of what was
        seen without a word on the piece, a test piece is meant.
    """
    piece, seen = value("piece"), value("seen")
    return Trial(
        date=datetime.date.today(),
        piece=piece or (None if seen is None else TrialPiece.TEST_PIECE),
        seen=seen,
        section=value("section"),
        height_mm=value("height"),
        clearance_mm=value("clearance"),
        side=value("side"),
        read_mm=value("read"),
        nominal_mm=value("nominal"),
    )


@record
class GapChange:
    """The gap per side that the next holder's file gets, mm, before and after the latest change.

    ``section`` is where; None for the widest place between the sections.
    """

    section: str | None
    before_mm: float
    after_mm: float

    @property
    def where(self) -> str:
        """Which gap, in words."""
        return "widest gap between sections" if self.section is None else f'gap at "{self.section}"'

    @property
    def row(self) -> dict[str, Any]:
        """The change for JSON, mm."""
        return {
            "section": self.section,
            "before_mm": round(self.before_mm, 4),
            "after_mm": round(self.after_mm, 4),
        }


@noun
class TrialUpdate:
    """The trials of a project, oldest first, and what they teach, before and after the latest change.

    ``kept`` are those of the whole folder, for its file; ``rings_mm`` the clearances of all
    test rings that may be at hand: those cut before any trial, those noted, and those cut now; ``gaps`` what the next
    holder gets. ``noted`` is the one that is new; ``printed`` the file that tells what the holder noted has, None where none was found, or another piece was noted.
    """

    trials: tuple[Trial, ...]
    kept: tuple[Trial, ...]
    before: Learned
    after: Learned
    rings_mm: tuple[float, ...]
    gaps: tuple[GapChange, ...]
    noted: Trial | None = None
    printed: Path | None = None


def with_trial(
    project: Project,
    draft: Trial,
    *,
    earlier: Sequence[Trial],
    made_into: Sequence[Path] = (),
    steps: Steps = PLAIN,
) -> TrialUpdate:
    """The trials with one more.

    A test piece has the clearance it was made for and the printer's stated inside
    error in its file. The holder has what it was made with, whatever was measured or tried since; where that is not
    known, what it would be made with now.

    Parameters
    ----------
    earlier : sequence of Trial
        Those of the whole folder.
    made_into : sequence of Path
        Folders that the holder may have been made into.

    Raises
    ------
    InputError
        If as many are kept as are read, the section is not known, no test piece is cut at the height, a test piece comes without place or
        clearance, or nothing was seen or read, or no printer is so far off as what was read.
    """
    if len(earlier) >= MOST_TRIALS:
        raise InputError(
            f"{len(earlier)} trials are kept already, the most that are read",
            where=TRIALS_FILE,
            hint="take out those of prints that you no longer have",
        )
    _check(draft, project=project)
    draft = _at_its_section(draft, project=project)
    model = steps.model(project, trials=own_trials(earlier, project.file))
    trial, printed = replace(draft, clearance_mm=None, project=project.file.name), None
    if draft.seen is not None:
        size = size_there_mm(model.learned.model, section=draft.section, height_mm=draft.height_mm)
        tried, printed = _with_gap(model, draft, made_into=made_into)
        trial = replace(tried, size_mm=size, project=project.file.name)
    update = _update(model, (*earlier, trial), before=model.learned)
    return replace(update, noted=trial, printed=printed)


def _at_its_section(draft: Trial, *, project: Project) -> Trial:
    """The trial by the name of its section, where it was made at the height of one."""
    name = next((s.name for s in project.sections if s.height_mm == draft.height_mm), None)
    return draft if name is None else replace(draft, section=name, height_mm=None)


def _check(draft: Trial, *, project: Project) -> None:
    """Raise where a trial does not say enough, or what cannot be."""
    names = [section.name for section in project.sections]
    if draft.section is not None and draft.section not in names:
        near = likely_meant(draft.section, names)
        meant = f"did you mean {near}? " if near else ""
        raise _mistake(
            "section",
            f"no section is called {draft.section[:60]!r}",
            f"{meant}there are {first_of(names)}; for a ring of another height give that height instead",
        )
    for mistake in entered_mistakes(draft):
        raise _mistake(str(mistake.at[0]), mistake.found, mistake.hint)
    if draft.height_mm is not None:
        with located("trial.height"):
            check_height(project, draft.height_mm)
    if draft.seen is None and draft.read_mm is None:
        raise _mistake(
            "seen",
            "this trial says neither how it went nor what was measured",
            "say how it went, or give a reading and what it should be",
        )
    if draft.piece is not TrialPiece.TEST_PIECE:
        return
    if draft.place is None:
        raise _mistake(
            "section",
            "a test piece needs its section or its height",
            f"name one of {', '.join(names)}, or give the height on the piece",
        )
    if draft.clearance_mm is None:
        raise _mistake(
            "clearance",
            "a test piece needs its clearance",
            "give what is printed on the piece, per side, in mm",
        )


def _mistake(key: str, found: str, hint: str) -> InputError:
    return InputError(found, where=f"trial.{key}", hint=hint)


def without_last_trial(project: Project, *, earlier: Sequence[Trial], steps: Steps = PLAIN) -> TrialUpdate:
    """The folder's trials without the last one of the project's own; ``steps`` models its thing.

    Raises
    ------
    InputError
        If there is none.
    """
    own = [n for n, trial in enumerate(earlier) if trial.is_of(project.file)]
    if not own:
        raise InputError("there is no trial to undo", where=str(project.file))
    model = steps.model(project, trials=own_trials(earlier, project.file))
    return _update(model, (*earlier[: own[-1]], *earlier[own[-1] + 1 :]), before=model.learned)


def kept_trials(project: Project, *, earlier: Sequence[Trial], steps: Steps = PLAIN) -> TrialUpdate:
    """The trials as they are; before is the project without any; ``steps`` models its thing."""
    model = steps.model(project)
    return _update(model, tuple(earlier), before=learn(model.learned.model, (), project=project))


def _update(model: ThingModel, kept: tuple[Trial, ...], *, before: Learned) -> TrialUpdate:
    trials = own_trials(kept, model.project.file)
    several = ((), trials) if trials else ((),)
    beliefs = [learn(before.model, some, project=model.project) for some in several]
    models = [replace(model, learned=now) for now in beliefs]
    asked = [asked_clearance(one) for one in models]
    was = asked_clearance(replace(model, learned=before)) if before.trials else asked[0]
    rings = {
        *(mm for one, its in zip(models, asked, strict=True) for mm in ring_clearances_mm(one, asked=its)),
        *(t.clearance_mm for t in trials if t.piece is TrialPiece.TEST_PIECE and t.clearance_mm is not None),
    }
    return TrialUpdate(
        trials=trials,
        kept=kept,
        before=before,
        after=beliefs[-1],
        rings_mm=tuple(sorted(rings)),
        gaps=_gap_changes(before.model, was=was, now=asked[-1]),
    )


def _gap_changes(fit: FitModel, *, was: AskedClearance, now: AskedClearance) -> tuple[GapChange, ...]:
    """The gap at every section that the holder reaches, and between them where it is wider there."""
    files = was.in_file, now.in_file
    told = [
        (name, height)
        for name, height in zip(fit.names, fit.section_heights_mm, strict=True)
        if height <= fit.places.held_to_mm
    ]
    at_sections = np.column_stack([one.at(np.array([height for _, height in told])) for one in files])
    changes = [
        GapChange(section=name, before_mm=float(old), after_mm=float(new))
        for (name, _), (old, new) in zip(told, at_sections, strict=True)
    ]
    widest = [one.held().greatest_mm for one in files]
    if (widest > at_sections.max(axis=0, initial=0.0)).any():
        changes.append(GapChange(section=None, before_mm=widest[0], after_mm=widest[1]))
    return tuple(changes)


def _with_gap(model: ThingModel, draft: Trial, *, made_into: Sequence[Path]) -> tuple[Trial, Path | None]:
    """The trial completed, and the summary that told of the holder; None where none did.

    Added is the clearance that the piece was made for and the gap in its file at
    that place; of a holder also its lining, and its room all the way up.
    """
    if draft.piece is TrialPiece.TEST_PIECE and draft.clearance_mm is not None:
        return replace(draft, gap_mm=draft.clearance_mm + model.project.printer.inside_error_mm), None
    fit = model.learned.model
    height = draft.height_mm
    if draft.section is not None:
        height = float(fit.section_heights_mm[fit.names.index(draft.section)])
    printed = printed_holder(model.project, made_into, clearance_mm=draft.clearance_mm)
    if printed is not None:
        clearance, gap = printed.clearance_mm, gap_in(printed.room, height_mm=height)
        room, lined, told_by = printed.room, printed.lined_mm, printed.file
    else:
        asked = asked_clearance(model, clearance_mm=draft.clearance_mm)
        at = fit.section_heights_mm[list(fit.reached())] if height is None else np.array([height])
        clearance, gap = float(asked.profile.at(at).min()), float(asked.in_file.at(at).min())
        room, lined, told_by = room_of(fit, asked.in_file), model.project.fit.lined_mm, None
    thick, pressed = lined or (None, None)
    made = replace(
        draft, clearance_mm=clearance, gap_mm=gap, lining_mm=thick, lining_pressed_mm=pressed, room=room
    )
    return made, told_by
