"""``cradle sheet``: the capture sheet to print."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated

import typer

from cradle.cli.options import AsJson, Debug


def sheet(
    *,
    paper: Annotated[str, typer.Option(help="Size of the paper: A4 or Letter.")] = "A4",
    file: Annotated[
        Path | None,
        typer.Option(
            "-o", "--output", metavar="FILE", help="Where to write the PDF; replaced if it is there."
        ),
    ] = None,
    as_json: AsJson = False,
    debug: Debug = False,
) -> int:
    """Write the capture sheet: marks by which a phone picture or scan is measured."""
    from cradle.capture.sheet import CHECK_LENGTH_MM, design_named, sheet_pdf
    from cradle.export.files import write_all

    design = design_named(paper)
    target = file or Path(f"capture-sheet-{design.name.lower()}.pdf")
    (written,) = write_all({target: sheet_pdf(design)})
    if as_json:
        typer.echo(json.dumps({"exit_code": 0, "files": [str(written)], "paper": design.name}, indent=2))
        return 0
    typer.echo(f"wrote {written}")
    typer.echo(
        f"next: print at 100 % on {design.name}, check that the long line reads {CHECK_LENGTH_MM:.1f} mm,"
        " draw or lay the section in the middle, take a picture from straight above"
    )
    return 0
