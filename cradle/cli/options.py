"""Arguments and options that several commands share."""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

from cradle.errors import CradleError, InputError
from cradle.names import with_settings

if TYPE_CHECKING:
    from cradle.project.key import Key

FILE: Final = click.Path(path_type=Path, readable=False)
"""Whether it can be read is told by who reads it."""

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
    return list(dict.fromkeys(SECTION.keys[like].value(text, where=option) for text in texts))


@contextmanager
def named_as_options(words: Mapping[str, str]) -> Iterator[None]:
    """A context in which errors at places of a project file, the keys of ``words``, name the options given instead."""
    try:
        yield
    except InputError as error:
        if words.keys().isdisjoint(error.places):
            raise
        raise error.at(*(words.get(place, place) for place in error.places)) from error


def as_options(text: str, *, keys: Container[str]) -> str:
    """What a message says with these keys of a project file, said with the options of their names.

    Examples
    --------
    >>> as_options('of a drawn line say shape = "line"', keys=["shape", "edge"])
    'of a drawn line say --shape line'
    """
    return with_settings(text, lambda one: f"--{one.key} {one.value}" if one.key in keys else one.written)


@contextmanager
def errors_as_options(keys: Container[str]) -> Iterator[None]:
    """A context in which what errors advise is said with options in place of these keys."""
    try:
        yield
    except CradleError as error:
        raise error.advising(as_options(error.hint, keys=keys)) from error


def value_of(name: str, *, said: Mapping[str, object], keys: Mapping[str, Key]) -> Any:
    """What an option says, by the rules of the key of its name in a file; None where it is not given.

    Raises
    ------
    InputError
        If the key takes no such value.
    """
    return None if said[name] is None else keys[name].value(said[name], where=f"--{name}")
