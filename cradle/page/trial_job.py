"""Trials: those noted so far, what they teach, and the text of the file with one more or one fewer."""

from __future__ import annotations

from functools import partial
from typing import Any

from cradle.page.jobs import Job, Json, Watch
from cradle.page.kept_outlines import KeptOutlines
from cradle.page.kept_steps import with_kept_outlines
from cradle.page.plain_words import plain_words
from cradle.pipeline.printed_holder import noting_others, printed_holder
from cradle.pipeline.trials import TrialUpdate, drafted, kept_trials, with_trial, without_last_trial
from cradle.project.project import Project
from cradle.project.reader import project_from_text
from cradle.project.trial_log import TRIAL, read_trials, trials_text
from cradle.report.summary import learned_row, trial_row
from cradle.result.rings_to_try import ABOVE_RIM, RingPlace, may_teach, places_to_cut


class TrialKeeper:
    """Notes trials."""

    def __init__(self, outlines: KeptOutlines) -> None:
        self._steps = with_kept_outlines(outlines)

    def answer(self, job: Job, watch: Watch) -> Json:
        """The trials with what they change; ``text`` is the new file where one was noted or taken back.

        ``job.given`` holds ``do``: ``show``, ``note`` or ``take back``; to note
        one, also ``section`` or ``height``, ``clearance``, ``seen``, ``piece``, ``side``,
        ``read`` and ``nominal``.

        Raises
        ------
        CradleError
            If the project or a trial is mistaken.
        """
        watch.step("learning from the trials")
        project = project_from_text(job.text, file=job.file)
        earlier = read_trials(project.folder)
        do = job.given.get("do", "show")
        if do == "note":
            draft = drafted(partial(_given, job))
            update = with_trial(project, draft, earlier=earlier, made_into=[job.folder], steps=self._steps)
        elif do == "take back":
            update = without_last_trial(project, earlier=earlier, steps=self._steps)
        else:
            update = kept_trials(project, earlier=earlier, steps=self._steps)
        printed = printed_holder(project, [job.folder], clearance_mm=None)
        data = _update_data(project, update) | {
            "printed": printed and printed.clearance_mm,
            "others": list(noting_others(project, made=job.folder)),
        }
        return data if do == "show" else data | {"text": trials_text(update.kept)}


def _given(job: Job, name: str) -> Any:
    """A value by the rules of its key in the file of trials; None where it is left empty."""
    value = job.given.get(name)
    return None if value in (None, "") else TRIAL.keys[name].value(value, where=f"trial.{name}")


def _update_data(project: Project, update: TrialUpdate) -> Json:
    places = places_to_cut(project)
    return {
        "trials": [trial_row(trial) for trial in update.trials],
        "learned": learned_row(update.after),
        "gaps": [{"where": gap.where, **gap.row} for gap in update.gaps],
        "findings": [plain_words(str(f)) for f in update.after.findings],
        "clearances": list(update.rings_mm),
        "places": [_place(one) for one in places if may_teach(project, one)],
        "idle": [f"No ring at {one.name}: {ABOVE_RIM}." for one in places if not may_teach(project, one)],
    }


def _place(place: RingPlace) -> Json:
    """A row of test rings: its name, and where a trial of one of them says that it belongs."""
    height = place.height_mm if place.section is None else None
    return {"name": place.name, "section": place.section, "height": height}
