"""The console that all commands print on, how they print findings, and the exit code that follows from them."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from textwrap import wrap
from typing import Final

from rich.console import Console
from rich.markup import escape

from cradle.finding import Finding, Severity, ordered

_WIDTH: Final = 110
"""Columns of a table that goes to a file or another program."""
_LEAST_WIDTH: Final = 20
_STYLE: Final = {Severity.FAIL: "bold red", Severity.WARN: "yellow", Severity.NOTE: "dim"}


def new_console() -> Console:
    """A console as wide as the terminal, or of a fixed width where there is none."""
    return Console() if sys.stdout.isatty() else Console(width=_WIDTH)


def print_findings(
    console: Console,
    *findings: Iterable[Finding],
    names: Sequence[str] = (),
    rank: Callable[[Finding], tuple[bool, ...]] = lambda _: (),
) -> None:
    """Print each finding once, worst first, or by a rank; of several holders, say which ones it concerns unless all."""
    concerns: dict[Finding, list[str]] = {}
    for number, of_one in enumerate(findings):
        for finding in of_one:
            concerns.setdefault(finding, []).append(names[number] if names else "")
    for finding in sorted(ordered(tuple(concerns)), key=rank):
        whose = "" if len(concerns[finding]) == len(findings) else f"{', '.join(concerns[finding])}: "
        say(console, f"{whose}{finding}", head=f"{finding.severity.words}: ", style=_STYLE[finding.severity])


def say(console: Console, text: str, *, head: str = "", style: str = "none") -> None:
    """Print a paragraph: on a terminal wrapped between words, further lines indented; else as one line."""
    lines = [head + text]
    if console.is_terminal:
        lines = wrap(
            head + text,
            width=max(console.width, _LEAST_WIDTH),
            subsequent_indent="   ",
            break_long_words=False,
            break_on_hyphens=False,
        )
    first, *rest = lines
    console.print(
        f"[{style}]{escape(head)}[/]{escape(first.removeprefix(head))}", highlight=False, soft_wrap=True
    )
    for line in rest:
        console.print(line, markup=False, highlight=False, soft_wrap=True)


def print_written(console: Console, written: Sequence[Path]) -> None:
    """Say which files were written, those of a folder together."""
    names: dict[Path, list[str]] = {}
    for path in written:
        names.setdefault(path.parent, []).append(path.name)
    for folder, of_it in names.items():
        if len(of_it) == 1:
            say(console, f"wrote {folder / of_it[0]}")
        else:
            say(console, f"wrote into {'this folder' if folder == Path() else folder}: {', '.join(of_it)}")


def exit_code(findings: Iterable[Finding]) -> int:
    """The exit code of a command that is done: 1 if a finding says that it should not be printed, else 0."""
    return int(any(finding.severity is Severity.FAIL for finding in findings))
