"""Arguments and options that several commands share."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, TypeAlias

import typer

ProjectFile: TypeAlias = Annotated[
    Path, typer.Argument(metavar="PROJECT", help="The project file, such as holder.toml.")
]
AsJson: TypeAlias = Annotated[bool, typer.Option("--json", help="Print the result, or the errors, as JSON.")]
Debug: TypeAlias = Annotated[bool, typer.Option("--debug", help="Show where in the program an error arose.")]
