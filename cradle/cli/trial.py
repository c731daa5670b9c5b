"""``cradle trial PROJECT``: record how a test piece or a holder fitted; the next holder learns from it."""

from __future__ import annotations

from pathlib import Path

import click

from cradle.cli import options


@click.command()
@options.project_file
@click.option("--seen", metavar="WORD", help="How it went: no-go (does not go in), tight, good or loose.")
@click.option(
    "--piece",
    metavar="WORD",
    help="What was tried: slice (a test piece) or holder.  [default: slice]",
)
@click.option("--section", metavar="NAME", help="The section it belongs to, by name.")
@click.option("--clearance", metavar="MM", help="The clearance it was made for, per side.")
@click.option("--side", metavar="WORD", help="Where it rubbed or was loose: front, back, left or right.")
@click.option("--read", metavar="MM", help="An inside width of the print, read with calipers.")
@click.option(
    "--nominal", metavar="MM", help="What it should read, from the report or the table of test pieces."
)
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
    nominal: str | None,
    undo: bool,
    as_json: bool,
) -> int:
    """Record how a test piece or a holder fitted, and show what the next holder will change.

    A reading alone, --read and --nominal, teaches the printer's inside error.
    With no option, show the trials kept so far. They are kept in trials.toml
    beside the project file, each with the project file's name.

    Such as: cradle trial holder.toml --section belly --clearance 0.3 --seen tight
    """
    import datetime
    from contextlib import nullcontext

    from cradle.cli.show_trial import show_trials, word_of
    from cradle.errors import InputError
    from cradle.files.locking import locked
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
        ("--nominal", nominal),
    )
    given = next((option for option, value in options_of_one if value is not None), None)
    if undo and (seen is not None or given is not None):
        raise InputError("a trial is noted or taken back, not both", where="--undo")
    measured = read is not None or nominal is not None
    if seen is None and given is not None and not measured:
        raise InputError("a trial is noted with how it went", where=given, hint="say how it went: --seen")
    if seen is None and measured:
        for option, value in options_of_one[:1] + options_of_one[2:4]:
            if value is not None:
                raise InputError(
                    "a reading alone has no use for it", where=option, hint="say how it went as well: --seen"
                )
    project = read_project(project_file)

    def length_mm(value: str | None, option: str, like: str) -> float | None:
        return None if value is None else options.lengths_mm([value], option=option, like=like)[0]

    draft = None
    if seen is not None or measured:
        draft = TrialDraft(
            date=datetime.date.today(),
            piece=None if seen is None else word_of(Piece, piece or Piece.SLICE, option="--piece"),
            seen=None if seen is None else word_of(Seen, seen, option="--seen"),
            section=section,
            clearance_mm=length_mm(clearance, "--clearance", "clearance"),
            side=None if side is None else word_of(Side, side, option="--side"),
            read_mm=length_mm(read, "--read", "width"),
            nominal_mm=length_mm(nominal, "--nominal", "width"),
        )
    changes = undo or draft is not None
    with locked(project.folder) if changes else nullcontext():  # trials noted at once are all kept
        earlier = read_trials(project.folder)
        if undo:
            update = without_last_trial(project, earlier=earlier)
        elif draft is None:
            update = kept_trials(project, earlier=earlier)
        else:
            update = with_trial(project, draft, earlier=earlier)
        if changes:
            file = project.folder / TRIALS_FILE
            write_all({file: trials_text(update.kept).encode()}, hint="see to the folder's permissions")
    show_trials(update, as_json=as_json)
    return 0
