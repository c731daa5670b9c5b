"""Write a project as text, or change single keys of a text and leave the rest alone."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

import tomlkit

from cradle.errors import InputError
from cradle.project import schema
from cradle.project.change import toml_item, with_value
from cradle.project.convert import nearest
from cradle.project.schema import DRAWING, PARTS
from cradle.project.spec import Project, SectionSpec
from cradle.project.table import Table, Times
from cradle.project.view import ViewSpec

if TYPE_CHECKING:
    from collections.abc import Mapping

    from cradle.project.toml_positions import Path

_STEP: Final = re.compile(r"(?P<word>[A-Za-z0-9_-]+)(?:\[(?P<number>[0-9]{1,6})\])?")


def project_to_text(project: Project) -> str:
    """Return the project as TOML text; reading it back gives an equal project."""
    document = tomlkit.document()
    for name, part in PARTS.items():
        value = getattr(project, part.field)
        if part.times is not Times.MANY:
            table = _table(value, part.table) if value is not None else None
            if table:
                document.add(name, table)
        elif value:
            tables = tomlkit.aot()
            for item in value:
                outlined = isinstance(item, SectionSpec | ViewSpec)
                tables.append(_outlined(item, part.table) if outlined else _table(item, part.table))
            document.add(name, tables)
    return tomlkit.dumps(document)


def with_values(text: str, changes: Mapping[str, object]) -> str:
    r"""Return a project's text with some keys changed, and everything else as it was.

    Parameters
    ----------
    text : str
        A project file that reads as TOML.
    changes : Mapping
        New values by dotted key, ``"fit.clearance"`` or ``"section[1].width"``
        (lists count from 1), in the units of the file. A number, text, bool or
        list; None takes the key out, so that its default holds again.

    Raises
    ------
    InputError
        If a key is not one of a project, its section does not exist, or the
        value cannot stand in a file. What the values mean is checked when the
        text is read.

    Examples
    --------
    >>> print(with_values("[fit]\nclearance = 0.35  # per side\n", {"fit.clearance": 0.4}))
    [fit]
    clearance = 0.4  # per side
    <BLANKLINE>
    """
    for key, value in changes.items():
        text = with_value(text, _path_of(key), value)
    return text


def _table(value: object, table: Table) -> tomlkit.items.Table:
    made = tomlkit.table()
    for name, key in table.keys.items():
        content = getattr(value, key.field)
        if content not in (None, ()):
            made.add(name, toml_item(content))
    return made


def _outlined(value: SectionSpec | ViewSpec, table: Table) -> tomlkit.items.Table:
    made = _table(value, table)
    for name, keys in table.sources.items():
        if isinstance(value.source, keys.makes):
            made.add(name, _table(value.source, keys))
            return made
    for key, content in _table(value.source, DRAWING).items():
        made.add(key, content)
    return made


def _path_of(key: str) -> Path:
    path: list[str | int] = []
    for step in key.split("."):
        match = _STEP.fullmatch(step)
        if match is None or match["number"] == "0":
            raise InputError(
                f"expected a dotted key, not {key[:60]!r}", hint="such as fit.clearance or section[1].width"
            )
        path.append(match["word"])
        if match["number"]:
            path.append(int(match["number"]) - 1)
    _check_known(path, key=key)
    return tuple(path)


def _check_known(path: list[str | int], *, key: str) -> None:
    known: Mapping[str, Table | None]
    known, rest = {name: part.table for name, part in PARTS.items()}, list(path)
    while rest:
        word = str(rest.pop(0))
        if word not in known:
            near = nearest(word, list(known))
            hint = f"did you mean {near}?" if near else f"allowed here are {' '.join(known)}"
            raise InputError(f"unknown key {word}", where=key, hint=hint)
        part = PARTS.get(word) if len(rest) == len(path) - 1 else None
        many = part is not None and part.times is Times.MANY
        if many != bool(rest and isinstance(rest[0], int)):
            hint = f"count from 1: {word}[1]" if many else f"write {word} without a number"
            raise InputError(
                f"{word} stands {'many times' if many else 'once'} in a project", where=key, hint=hint
            )
        if many:
            rest.pop(0)
        table = known[word]
        if table is None and not rest:
            return
        if table is None or not rest:
            raise InputError("this is not the key of a single value", where=key)
        known = schema.keys_under(table)
