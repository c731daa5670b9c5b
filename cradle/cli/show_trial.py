"""Trials and what they change, as tables for people and as JSON for programs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rich.markup import escape
from rich.table import Table

from cradle.cli.console import new_console, print_findings, say
from cradle.cli.json_output import print_json
from cradle.names import command, listed
from cradle.project.trial_log import TrialPiece
from cradle.report.finding_row import finding_row
from cradle.report.summary import learned_row, trial_row
from cradle.units import exact_mm

if TYPE_CHECKING:
    from rich.console import Console

    from cradle.pipeline.trials import TrialUpdate
    from cradle.project.trial_log import Trial


def show_trials(
    update: TrialUpdate, *, file: Path, others: Sequence[str] = (), row: Path | None = None, as_json: bool
) -> None:
    """Show the trials, and the printer's inside error and the next holder's gaps before and after.

    Parameters
    ----------
    file : Path
        The project's.
    others : sequence of str, optional
        Commands that note the same holder's other things.
    row : Path, optional
        The project file of the row that the thing stands in, where that is another thing's.
    """
    rows = [trial_row(trial) for trial in update.trials]
    if as_json:
        content = {
            "exit_code": 0,
            "trials": rows,
            "before": learned_row(update.before),
            "after": learned_row(update.after),
            "gaps": [gap.row for gap in update.gaps],
            "findings": [finding_row(finding) for finding in update.after.findings],
        }
        print_json(content)
        return
    console = new_console()
    if rows:
        console.print(_trials_table(rows))
    else:
        say(console, f"no trial of {file} is kept; cradle trial --help says how one is recorded")
    if update.noted is not None and update.noted.piece is TrialPiece.HOLDER:
        _print_noted(console, update.noted, printed=update.printed, others=others)
    if rows or update.before.trials:
        _print_changes(console, update, file=file, row=row)


def _print_noted(console: Console, noted: Trial, *, printed: Path | None, others: Sequence[str]) -> None:
    """Print which holder was noted, and how the other things in it are noted."""
    say(console, _which_holder(noted, printed))
    if others:
        commands = listed([f"“{noting}”" for noting in others])
        say(
            console,
            f"it tells of this project's thing, and of the printer for all; how others went in: {commands}",
        )


def _print_changes(console: Console, update: TrialUpdate, *, file: Path, row: Path | None) -> None:
    """Print what the trials change in the next holder, and how it is made."""
    changes, findings = _changes(update), update.after.findings
    if not findings and all(before == after for _, before, after in changes):
        why = "" if update.noted is None else ": by the measurements, that was to be expected"
        say(console, f"the next holder stays as it is{why}")
        return
    own = "the next holder" if row is None else "a holder of its own"
    console.print(_change_table(changes, of=own))
    print_findings(console, findings)
    uses = ", which uses them" if update.trials else ""
    say(console, f"“{command('make', str(file if row is None else row))}”{uses}", head="next: ")


def _which_holder(noted: Trial, printed: Path | None) -> str:
    if printed is not None:
        return f"the holder noted is the one that {printed} tells of"
    return (
        f"no files of the holder noted are in 'out': it is taken to be as it would be made now, {noted.clearance_mm:.2f} mm "
        "per side; if it was another, undo this trial (--undo) and name the folder of its files (--made)"
    )


def _trials_table(rows: Sequence[Mapping[str, Any]]) -> Table:
    table = Table(title="trials", title_justify="left")
    for heading in ("", "date", "piece", "where", "clearance", "seen", "side", "calipers"):
        table.add_column(heading)
    for number, row in enumerate(rows, start=1):
        reading = "" if row["read_mm"] is None else f"{row['read_mm']:.2f} for {row['nominal_mm']:.2f}"
        cells = (
            row["date"],
            row["piece"] or "reading",
            _where(row),
            "" if row["clearance_mm"] is None else exact_mm(row["clearance_mm"]),
            row["seen"] or "",
        )
        table.add_row(str(number), *(escape(str(c)) for c in cells), row["side"] or "", reading)
    return table


def _where(row: Mapping[str, Any]) -> str:
    height = row["height_mm"]
    return row["section"] or "all" if height is None else f"{exact_mm(height, decimals=0)} mm"


def _changes(update: TrialUpdate) -> tuple[tuple[str, str, str], ...]:
    """What the last trials change, before and after, the printer's inside error first."""
    was, now = update.before.after, update.after.after
    return (
        (
            "the printer's inside error",
            f"{was.expected_mm:.3f} ± {was.spread_mm:.3f}",
            f"{now.expected_mm:.3f} ± {now.spread_mm:.3f}",
        ),
        *((gap.where, f"{gap.before_mm:.2f}", f"{gap.after_mm:.2f}") for gap in update.gaps),
    )


def _change_table(changes: Sequence[tuple[str, str, str]], *, of: str) -> Table:
    table = Table(title=f"what changes in {of}, mm per side", title_justify="left")
    for heading in ("", "before", "after"):
        table.add_column(heading, justify="left" if not heading else "right")
    for what, before, after in changes:
        table.add_row(escape(what), before, after)
    return table
