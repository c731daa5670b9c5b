"""How an error is shown: one line on standard error, or as JSON on standard output as well."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import click

from cradle.cli.json_output import print_json
from cradle.errors import CradleError, GeometryError, ProjectError


def error_rows(error: CradleError) -> list[dict[str, Any]]:
    """One mapping for each mistake: ``kind``, ``text``, and what else is known of it."""
    kind = type(error).__name__
    if isinstance(error, ProjectError):
        return [
            {
                "kind": kind,
                "file": error.file,
                "line": problem.line,
                "where": problem.where,
                "found": problem.found,
                "hint": problem.hint,
                "text": f"{error.file}: {problem}",
            }
            for problem in error.problems
        ]
    at = {"file": error.file, "line": error.line} if isinstance(error, GeometryError) and error.file else {}
    told = {"where": error.where, "found": error.found, "hint": error.hint, "text": str(error)}
    return [{"kind": kind, **at, **told}]


def print_failure(rows: Sequence[dict[str, Any]], *, exit_code: int, as_json: bool) -> None:
    """Print each mistake on a line of standard error; with ``as_json`` all of them on standard output too."""
    for row in rows:
        click.echo("cradle: " + " ".join(row["text"].split()), err=True)
    if as_json:
        print_json({"exit_code": exit_code, "errors": list(rows)})
