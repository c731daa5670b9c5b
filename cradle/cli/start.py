"""``cradle start DIR``: a new, commented project."""

from __future__ import annotations

from pathlib import Path

import click

from cradle.cli import options
from cradle.cli.json_output import print_json
from cradle.files.reading import real_path
from cradle.names import command


@click.command()
@click.argument(
    "folder", metavar="DIR", type=options.FILE, help="Folder of the new project; made if it is missing."
)
@click.option("--name", metavar="NAME", help="What the thing is called.  [default: the folder's name]")
@options.as_json
@options.debug
def start(*, folder: Path, name: str | None, as_json: bool) -> int:
    """Write a new, commented project."""
    from cradle.project.template import start_project

    with options.named_as_options({"name": "--name"}):
        files = start_project(folder, name=real_path(folder).name or "thing" if name is None else name)
    if as_json:
        written = [str(file) for file in files]
        print_json({"exit_code": 0, "files": written})
        return 0
    for file in files:
        click.echo(f"wrote {file}")
    page, check = (command(word, str(files[0])) for word in ("page", "check"))
    click.echo(f"next: put in what you measured, with any text editor or by “{page}”; then “{check}”")
    return 0
