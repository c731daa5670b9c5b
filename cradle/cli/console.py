"""The console that all commands print on, how they print findings, and the exit code that follows from them."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence
from typing import Final

from rich.console import Console
from rich.markup import escape

from cradle.finding import Finding, Severity, ordered

_WIDTH: Final = 110
"""Columns of a table that goes to a file or another program."""
_STYLE: Final = {Severity.FAIL: "bold red", Severity.WARN: "yellow", Severity.NOTE: "dim"}
_MARK: Final = {Severity.FAIL: "do not print", Severity.WARN: "warning", Severity.NOTE: "note"}


def new_console() -> Console:
    """A console as wide as the terminal, or of a fixed width where there is none."""
    return Console() if sys.stdout.isatty() else Console(width=_WIDTH)


def print_findings(console: Console, *findings: Iterable[Finding], names: Sequence[str] = ()) -> None:
    """Print each finding once, worst first; of several holders, say which ones it concerns unless all."""
    concerns: dict[Finding, list[str]] = {}
    for number, of_one in enumerate(findings):
        for finding in of_one:
            concerns.setdefault(finding, []).append(names[number] if names else "")
    for finding in ordered(tuple(concerns)):
        mark = f"[{_STYLE[finding.severity]}]{_MARK[finding.severity]}[/]"
        whose = "" if len(concerns[finding]) == len(findings) else f"{', '.join(concerns[finding])}: "
        console.print(f"{mark}: {escape(whose + str(finding))}", highlight=False, soft_wrap=True)


def exit_code(findings: Iterable[Finding]) -> int:
    """The exit code of a command that is done: 1 if a finding says that it should not be printed, else 0."""
    return int(any(finding.severity is Severity.FAIL for finding in findings))
