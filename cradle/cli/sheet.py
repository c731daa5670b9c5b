"""``cradle sheet``: the capture sheet to print."""

from __future__ import annotations

from pathlib import Path

import click

from cradle.cli import options
from cradle.cli.json_output import print_json
from cradle.errors import InputError


@click.command()
@click.option("--paper", metavar="SIZE", default="A4", help="Size of the paper: A4 or Letter.")
@click.option(
    "-o",
    "--output",
    "file",
    metavar="FILE",
    type=options.FILE,
    help="Where to write the PDF; replaced if it is there.",
)
@options.as_json
@options.debug
def sheet(*, paper: str, file: Path | None, as_json: bool) -> int:
    """Write the capture sheet, by whose marks pictures are measured."""
    from cradle.capture_sheet.sheet import CHECK_LENGTH_MM, design_named, sheet_pdf
    from cradle.files.writing import write_all

    if file is not None and file.suffix.lower() != ".pdf":
        raise InputError(
            "the sheet is written as PDF", where=str(file), hint="name a file that ends in .pdf with -o"
        )
    design = design_named(paper)
    target = file or Path(f"capture-sheet-{design.name.lower()}.pdf")
    (written,) = write_all({target: sheet_pdf(design)})
    if as_json:
        print_json({"exit_code": 0, "files": [str(written)], "paper": design.name})
        return 0
    click.echo(f"wrote {written}")
    click.echo(
        f"next: print at 100 % on {design.name}, check that the long line reads {CHECK_LENGTH_MM:.1f} mm,"
        " draw or lay the section in the middle, take a picture from straight above"
    )
    return 0
