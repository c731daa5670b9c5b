"""``cradle start DIR``: a new, commented project."""

from __future__ import annotations

import json
import shlex
from pathlib import Path
from typing import Annotated

import typer

from cradle.cli.options import AsJson, Debug


def start(
    folder: Annotated[
        Path, typer.Argument(metavar="DIR", help="Folder of the new project; made if it is missing.")
    ],
    *,
    name: Annotated[
        str | None, typer.Option(help="What the thing is called; else the folder's name.")
    ] = None,
    as_json: AsJson = False,
    debug: Debug = False,
) -> int:
    """Write a new, commented project."""
    from cradle.project.template import start_project

    files = start_project(folder, name=folder.resolve().name or "thing" if name is None else name)
    if as_json:
        written = [str(file) for file in files]
        typer.echo(json.dumps({"exit_code": 0, "files": written}, indent=2, ensure_ascii=False))
        return 0
    for file in files:
        typer.echo(f"wrote {file}")
    typer.echo(f"next: put in what you measured, then: cradle check {shlex.quote(str(files[0]))}")
    return 0
