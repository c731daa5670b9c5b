"""``cradle trial PROJECT``: record how a test piece or a holder fitted; the next holder learns from it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import nullcontext
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from cradle.cli import options
from cradle.errors import InputError

if TYPE_CHECKING:
    from cradle.pipeline.trials import TrialUpdate
    from cradle.project.project import Project
    from cradle.project.trial_log import Trial


@click.command()
@options.project_file
@click.option(
    "--seen",
    metavar="no-go|tight|good|loose",
    help="How it went; no-go: it does not go in; loose: with more room than you like.",
)
@click.option("--piece", metavar="test-piece|holder", help="What was tried.  [default: test-piece]")
@click.option("--section", metavar="NAME", help="The section it belongs to, by name.")
@click.option("--height", metavar="MM", help="Or its height on the thing, where it belongs to no section.")
@click.option("--clearance", metavar="MM", help="The clearance it was made for, per side.")
@click.option("--side", metavar="front|back|left|right", help="Where it rubbed or was loose.")
@click.option("--read", metavar="MM", help="An inside width of the print, measured with calipers.")
@click.option(
    "--nominal", metavar="MM", help="The width it should have, from the report or the table of test pieces."
)
@click.option(
    "--made",
    metavar="DIR",
    type=options.FILE,
    help="Where the tried holder's files are.  [default: 'out' beside the project file or here, the newer]",
)
@click.option("--undo", is_flag=True, help="Undo the last trial.")
@options.as_json
@options.debug
def trial(*, project_file: Path, made: Path | None, undo: bool, as_json: bool, **said: str | None) -> int:
    """Record how a test piece or a holder fitted.

    Shown is what the next holder will change. A reading alone, --read and --nominal, teaches the printer's inside error.
    With no option, show the trials kept so far. They are kept in trials.toml
    beside the project file, each with the project file's name.

    Such as: cradle trial holder.toml --section belly --clearance 0.3 --seen tight
    """
    from cradle.cli.progress import Progress
    from cradle.cli.show_trial import show_trials
    from cradle.files.locking import locked
    from cradle.files.writing import write_all
    from cradle.pipeline.mistakes import told_with_lines
    from cradle.pipeline.printed_holder import noting_others, printed_holder, row_with
    from cradle.project.project import TRIALS_FILE
    from cradle.project.reader import read_project
    from cradle.project.trial_log import trials_text

    given = [name for name, value in said.items() if value is not None]
    if undo and given:
        raise InputError(
            "--undo cannot be combined with a new trial", where="--undo", hint="give them one after the other"
        )
    project = read_project(project_file)
    draft = _draft(said) if given else None
    changes = undo or draft is not None
    folders = [project.folder / "out", Path("out")] if made is None else [made]
    lock = locked(project.folder) if changes else nullcontext()  # trials noted at once are all kept
    names = {f"trial.{name}": f"--{name}" for name in said}
    with Progress() as progress, lock, told_with_lines(project), options.named_as_options(names):
        progress.step("learning from the trials")
        update = _updated(project, draft, undo=undo, folders=folders)
        if made is not None and draft is not None and update.printed is None:
            raise InputError(
                f"{made} tells of no holder of this project with that clearance",
                where="--made",
                hint="name the folder that “cradle make” wrote its files into, and say --piece holder",
            )
        if changes:
            file = project.folder / TRIALS_FILE
            write_all({file: trials_text(update.kept).encode()}, hint="check the folder's permissions")
    clearance_mm = None if update.noted is None or update.printed is None else update.noted.clearance_mm
    holder = printed_holder(project, folders, clearance_mm=clearance_mm)
    show_trials(
        update,
        file=project_file,
        others=noting_others(project, made=folders[0] if update.printed is None else update.printed.parent),
        row=None if holder is None else row_with(project, holder),
        as_json=as_json,
    )
    return 0


def _updated(project: Project, draft: Trial | None, *, undo: bool, folders: Sequence[Path]) -> TrialUpdate:
    """The trials with one more, without the last one, or as they are."""
    from cradle.pipeline.trials import kept_trials, with_trial, without_last_trial
    from cradle.project.trial_log import read_trials

    earlier = read_trials(project.folder)
    if undo:
        return without_last_trial(project, earlier=earlier)
    if draft is None:
        return kept_trials(project, earlier=earlier)
    return with_trial(project, draft, earlier=earlier, made_into=folders)


def _draft(said: Mapping[str, str | None]) -> Trial:
    """The trial that the options state.

    Raises
    ------
    InputError
        If a value has the wrong form, or options are given that need --seen.
    """
    from cradle.pipeline.trials import drafted
    from cradle.project.trial_log import TRIAL

    if said["seen"] is None:
        tried = next((name for name in ("piece", "clearance", "side") if said[name] is not None), None)
        reading = said["read"] is not None or said["nominal"] is not None
        if tried or not reading:
            found = "a reading alone does not need this option" if reading else "how it went is missing"
            raise InputError(found, where=f"--{tried or 'section'}", hint="say how it went: --seen")

    return drafted(partial(options.value_of, said=said, keys=TRIAL.keys))
