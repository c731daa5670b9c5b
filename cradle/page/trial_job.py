"""Trials: those noted so far, what they teach, and the text of the file with one more or one fewer."""

from __future__ import annotations

import datetime
from enum import StrEnum
from typing import TypeVar

from cradle.errors import InputError
from cradle.page.jobs import Job, Json, Watch
from cradle.page.kept import Kept
from cradle.page.plain_words import plain_words
from cradle.pipeline.trials import TrialDraft, TrialUpdate, kept_trials, with_trial, without_last_trial
from cradle.project.convert import MistakeError, choice, length
from cradle.project.project import Project
from cradle.project.reader import project_from_text
from cradle.project.side import Side
from cradle.project.trial_log import Outcome, TrialPiece, read_trials, trials_text
from cradle.result.rings_to_try import sections_to_try

_Word = TypeVar("_Word", bound=StrEnum)


class TrialKeeper:
    """Notes trials."""

    def __init__(self, outlines: Kept) -> None:
        self._kept = outlines

    def answer(self, job: Job, watch: Watch) -> Json:
        """The trials with what they change; ``text`` is the new file where one was noted or taken back.

        ``job.given`` holds ``do``: ``show``, ``note`` or ``take back``; to note
        one, also ``section``, ``clearance``, ``seen``, ``piece``, ``side``,
        ``read`` and ``nominal``.

        Raises
        ------
        CradleError
            If the project or a trial is mistaken.
        """
        watch.step("learning from the trials")
        project = project_from_text(job.text, file=job.file)
        earlier, read = read_trials(project.folder), self._kept.read
        do = job.given.get("do", "show")
        if do == "note":
            update = with_trial(project, _draft(job), earlier=earlier, read=read)
        elif do == "take back":
            update = without_last_trial(project, earlier=earlier, read=read)
        else:
            return _told(project, kept_trials(project, earlier=earlier, read=read))
        return _told(project, update) | {"text": trials_text(update.kept)}


def _draft(job: Job) -> TrialDraft:
    given = job.given
    return TrialDraft(
        date=datetime.date.today(),
        piece=_word(
            TrialPiece, given.get("piece") or (TrialPiece.TEST_PIECE if given.get("seen") else None), "piece"
        ),
        seen=_word(Outcome, given.get("seen"), "seen"),
        section=given.get("section") or None,
        clearance_mm=_length_mm(given.get("clearance"), "clearance"),
        side=_word(Side, given.get("side"), "side"),
        read_mm=_length_mm(given.get("read"), "read"),
        nominal_mm=_length_mm(given.get("nominal"), "nominal"),
    )


def _word(options: type[_Word], value: object, where: str) -> _Word | None:
    if value in (None, ""):
        return None
    try:
        return options(choice(options)(value))
    except MistakeError as error:
        raise InputError(
            error.mistakes[0].found, where=f"trial.{where}", hint=error.mistakes[0].hint
        ) from error


def _length_mm(value: object, where: str) -> float | None:
    if value in (None, ""):
        return None
    try:
        return float(length(least=0.0)(value))
    except MistakeError as error:
        raise InputError(
            error.mistakes[0].found, where=f"trial.{where}", hint=error.mistakes[0].hint
        ) from error


def _told(project: Project, update: TrialUpdate) -> Json:
    before, after = update.before, update.after
    return {
        "trials": [
            {
                "date": str(t.date),
                "piece": t.piece and str(t.piece),
                "section": t.section,
                "clearance": t.clearance_mm,
                "seen": t.seen and str(t.seen),
                "side": t.side and str(t.side),
                "read": t.read_mm,
                "nominal": t.nominal_mm,
            }
            for t in update.trials
        ],
        "changes": [
            [name, round(float(was), 3), round(float(now), 3)]
            for name, was, now in zip(
                after.model.names, before.corrections_mm, after.corrections_mm, strict=True
            )
        ],
        "inside": [round(after.after.expected_mm, 3), round(after.after.spread_mm, 3)],
        "findings": [plain_words(str(f)) for f in after.findings],
        "clearances": list(update.rings_mm),
        "sections": list(sections_to_try(project)),
    }
