"""Arguments and options that several commands share."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

from cradle.errors import InputError

if TYPE_CHECKING:
    from cradle.project.key import Key

FILE: Final = click.Path(path_type=Path)

project_file: Final = click.argument(
    "project_file", metavar="PROJECT", type=FILE, help="The project file, such as holder.toml."
)
output_folder: Final = click.option(
    "-o",
    "--output",
    metavar="DIR",
    type=FILE,
    help="Folder for the files.  [default: 'out' beside the project file]",
)
as_json: Final = click.option(
    "--json", "as_json", is_flag=True, help="Print the result, or the errors, as JSON."
)
debug: Final = click.option(
    "--debug", is_flag=True, expose_value=False, help="Show where in the program an error arose."
)
"""Seen to where errors are shown, not by the commands."""


def lengths_mm(texts: Sequence[str], *, option: str, like: str) -> list[float]:
    """The lengths in the order given, repeats left out; of so many at most as a list of a project holds.

    Parameters
    ----------
    texts : sequence of str
        As on the command line, with or without a unit.
    option : str
        Name of the option, for messages.
    like : str
        Key of a section in the project file whose rules count: ``clearance`` or ``height``.

    Raises
    ------
    InputError
        If one is no length, or not allowed for that key, or there are too many.
    """
    from cradle.project.convert import MOST_ITEMS
    from cradle.project.section import SECTION

    if len(texts) > MOST_ITEMS:
        raise InputError(f"found {len(texts)}, allowed are at most {MOST_ITEMS} at once", where=option)

    values = [float(_read(text, SECTION.keys[like], option=option)) for text in texts]
    return list(dict.fromkeys(values))


def of_picture(given: str | float | None, *, option: str, like: str) -> float | None:
    """A measure of a picture by the rules of its key ``like`` in the project file; None stays None.

    Raises
    ------
    InputError
        If the key takes no such value.
    """
    from cradle.project.picture import PICTURE

    return None if given is None else float(_read(given, PICTURE.keys[like], option=option))


def _read(given: str | float, key: Key, *, option: str) -> Any:
    from cradle.project.convert import MistakeError

    try:
        return key.convert(given)
    except MistakeError as error:
        mistake = error.mistakes[0]
        raise InputError(mistake.found, where=option, hint=mistake.hint) from error
