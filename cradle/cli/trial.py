"""``cradle trial PROJECT``: note what was tried on the thing; the next holder learns from it."""

from __future__ import annotations

from pathlib import Path

import click

from cradle.cli import options


@click.command()
@options.project_file
@click.option("--seen", metavar="WORD", help="How it went: won't-enter, tight, good or loose.")
@click.option(
    "--piece",
    metavar="WORD",
    help="What was tried: slice or holder; else a slice.",
)
@click.option("--section", metavar="NAME", help="The section it belongs to, by name.")
@click.option("--clearance", metavar="MM", help="The clearance it was made for, per side.")
@click.option("--side", metavar="WORD", help="Where it touched or gaped: front, back, left or right.")
@click.option("--read", metavar="MM", help="An inside width of the print, read by caliper.")
@click.option("--should", metavar="MM", help="The control dimension that the reading belongs to.")
@click.option("--undo", is_flag=True, help="Take back the last trial.")
@options.as_json
@options.debug
def trial(
    *,
    project_file: Path,
    seen: str | None,
    piece: str | None,
    section: str | None,
    clearance: str | None,
    side: str | None,
    read: str | None,
    should: str | None,
    undo: bool,
    as_json: bool,
) -> int:
    """Note a trial of a slice or a holder, and show what the next holder will have differently.

    Without --seen, show the project's trials kept so far. They are kept in
    trials.toml beside the project file, each with the project file's name.
    """
    import datetime

    from cradle.cli.show_trial import show_trials, word_of
    from cradle.errors import InputError
    from cradle.files.writing import write_all
    from cradle.pipeline.trials import TrialDraft, kept_trials, with_trial, without_last_trial
    from cradle.project.project import TRIALS_FILE
    from cradle.project.reader import read_project
    from cradle.project.trial_log import Piece, Seen, Side, read_trials, trials_text

    options_of_one = (
        ("--piece", piece),
        ("--section", section),
        ("--clearance", clearance),
        ("--side", side),
        ("--read", read),
        ("--should", should),
    )
    given = next((option for option, value in options_of_one if value is not None), None)
    if undo and (seen is not None or given is not None):
        raise InputError("a trial is noted or taken back, not both", where="--undo")
    if seen is None and given is not None:
        raise InputError("a trial is noted with how it went", where=given, hint="say how it went: --seen")
    project = read_project(project_file)
    earlier = read_trials(project.folder)

    def length_mm(value: str | None, option: str, like: str) -> float | None:
        return None if value is None else options.lengths_mm([value], option=option, like=like)[0]

    if undo:
        update = without_last_trial(project, earlier=earlier)
    elif seen is None:
        update = kept_trials(project, earlier=earlier)
    else:
        draft = TrialDraft(
            date=datetime.date.today(),
            piece=Piece.SLICE if piece is None else word_of(Piece, piece, option="--piece"),
            seen=word_of(Seen, seen.replace("-", " "), option="--seen"),
            section=section,
            clearance_mm=length_mm(clearance, "--clearance", "clearance"),
            side=None if side is None else word_of(Side, side, option="--side"),
            read_mm=length_mm(read, "--read", "width"),
            should_mm=length_mm(should, "--should", "width"),
        )
        update = with_trial(project, draft, earlier=earlier)
    if undo or seen is not None:
        file = project.folder / TRIALS_FILE
        write_all({file: trials_text(update.kept).encode()}, hint="see to the folder's permissions")
    show_trials(update, as_json=as_json)
    return 0
