"""Trials and what they change, as tables for people and as JSON for programs."""

from __future__ import annotations

import json
import sys
from enum import StrEnum
from typing import TYPE_CHECKING, Any, TypeVar

import click
from rich.console import Console
from rich.markup import escape
from rich.table import Table

from cradle.errors import InputError
from cradle.report.summary import finding_row, learned_row
from cradle.units import exact_mm

if TYPE_CHECKING:
    from cradle.pipeline.trials import TrialUpdate

Word = TypeVar("Word", bound=StrEnum)


def word_of(words: type[Word], text: str, *, option: str) -> Word:
    """The word meant on the command line.

    Raises
    ------
    InputError
        If it is none of them.
    """
    try:
        return words(text)
    except ValueError as error:
        *most, last = map(str, words)
        hint = f"use {', '.join(most)} or {last}"
        raise InputError(f"{text[:60]!r} is not allowed", where=option, hint=hint) from error


def show_trials(update: TrialUpdate, *, as_json: bool) -> None:
    """Show the trials, and the printer's inside error and each section's gap before and after."""
    rows: list[dict[str, Any]] = [
        {
            "date": t.date.isoformat(),
            "piece": None if t.piece is None else str(t.piece),
            "section": t.section,
            "clearance_mm": t.clearance_mm,
            "gap_mm": None if t.gap_mm is None else round(t.gap_mm, 4),
            "seen": None if t.seen is None else str(t.seen),
            "side": None if t.side is None else str(t.side),
            "read_mm": t.read_mm,
            "nominal_mm": t.nominal_mm,
        }
        for t in update.trials
    ]
    findings = update.after.findings
    if as_json:
        content = {
            "exit_code": 0,
            "trials": rows,
            "before": learned_row(update.before),
            "after": learned_row(update.after),
            "findings": [finding_row(finding) for finding in findings],
        }
        click.echo(json.dumps(content, indent=2, ensure_ascii=False, allow_nan=False))
        return
    console = Console(width=None if sys.stdout.isatty() else 110)
    table = Table(title="trials", title_justify="left")
    for heading in ("", "date", "piece", "section", "clearance", "seen", "side", "calipers"):
        table.add_column(heading)
    for number, row in enumerate(rows, start=1):
        reading = "" if row["read_mm"] is None else f"{row['read_mm']:.2f} for {row['nominal_mm']:.2f}"
        cells = (
            row["date"],
            row["piece"] or "reading",
            row["section"] or "all",
            "" if row["clearance_mm"] is None else exact_mm(row["clearance_mm"]),
            row["seen"] or "",
        )
        table.add_row(str(number), *(escape(str(c)) for c in cells), row["side"] or "", reading)
    console.print(table)
    change = Table(title="what changes in the next holder, mm per side", title_justify="left")
    for heading in ("", "before", "after"):
        change.add_column(heading, justify="left" if not heading else "right")
    was, now = update.before.before if not update.before.count else update.before.after, update.after.after
    change.add_row(
        "the printer's inside error",
        f"{was.expected_mm:.3f} ± {was.spread_mm:.3f}",
        f"{now.expected_mm:.3f} ± {now.spread_mm:.3f}",
    )
    for name, before, after in zip(
        update.after.model.names, update.before.corrections_mm, update.after.corrections_mm, strict=True
    ):
        change.add_row(escape(f'gap added at "{name}"'), f"{before:+.3f}", f"{after:+.3f}")
    console.print(change)
    for finding in findings:
        console.print(f"warning: {finding}", markup=False, highlight=False, soft_wrap=True)
