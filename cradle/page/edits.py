"""What a person changes on the page, as a change of the project file's text.

An edit is a list of steps: a key set, a table added, given other values, or
taken out. It is refused as a whole where one of its values cannot stand; what
is only still missing elsewhere does not stop it, so that a project may grow.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from cradle.errors import CradleError, InputError, Problem, ProjectError
from cradle.page.typed_values import value_of
from cradle.project.change import with_new_table, with_table, with_value, without_table
from cradle.project.key import Kinds, Occurrence
from cradle.project.project import TABLES
from cradle.project.reader import project_from_text
from cradle.project.toml_positions import KeyPath, data_of, path_of

_MISSING = "missing"


def edited(text: str, steps: Sequence[Mapping[str, Any]], *, file: Path) -> str:
    """The project's text after the steps of an edit, each of which says what to ``do`` at a ``key``.

    *set* gives it ``value``, and takes it out where that is empty; *add* makes a table of that name with ``values``; *put*
    gives the table ``values`` in place of its own; *remove* takes it out.

    Raises
    ------
    ProjectError
        If a step names no field or table, or a value of it cannot stand.
    """
    touched: list[KeyPath | None] = []
    after = text
    try:
        for step in steps:
            after, path = _stepped(after, step)
            touched.append(path)
    except ProjectError:
        raise
    except CradleError as error:
        raise ProjectError(str(file), error.problems) from error
    before = {(p.where, p.found) for p in problems_of(text, file=file)}
    new = [p for p in problems_of(after, file=file) if (p.where, p.found) not in before]
    refused = [p for p in new if p.found != _MISSING and _is_about(p.where, touched)]
    if refused:
        raise ProjectError(str(file), tuple(refused))
    return after


def problems_of(text: str, *, file: Path) -> tuple[Problem, ...]:
    """All mistakes of a project's text, in the order of their lines; none where it can be made."""
    try:
        project_from_text(text, file=file)
    except ProjectError as error:
        return error.problems
    return ()


def _stepped(text: str, step: Mapping[str, Any]) -> tuple[str, KeyPath | None]:
    """The text after one step, and the key or table whose mistakes refuse it; None where none do."""
    kind, key = step.get("do"), step.get("key")
    if not isinstance(key, str) or kind not in ("set", "add", "put", "remove"):
        raise InputError("expected a step with do and key", where=str(key)[:60])
    path = path_of(key)
    if kind == "set":
        return with_value(text, path, value_of(path, step.get("value", ""))), path
    if kind == "remove":
        return without_table(text, path), None
    name = str(path[0])
    given = step.get("values")
    if name not in TABLES or not isinstance(given, Mapping):
        raise InputError("there is no such table", where=key)
    values = _values((*path, 0) if kind == "add" and _many(name) else path, given)
    if kind == "put":
        return with_table(text, path, values), path
    if not _many(name):
        for inner, value in values.items():
            text = with_value(text, (name, inner), value)
        return text, None
    after = with_new_table(text, name, values)
    return after, (name, len((data_of(after) or {})[name]) - 1)


def _many(name: str) -> bool:
    return TABLES[name].occurrence is Occurrence.MANY


def _values(path: KeyPath, given: Mapping[str, Any]) -> dict[str, object]:
    """The values of a table as its file says them, empty ones left out."""
    values: dict[str, object] = {}
    for name, typed in given.items():
        value = (
            _values((*path, name), typed) if isinstance(typed, Mapping) else value_of((*path, name), typed)
        )
        if value is not None:
            values[name] = value
    table = TABLES[str(path[0])].table
    if isinstance(table, Kinds) and table.by not in values and len(path) <= 2:
        raise InputError(_MISSING, where=f"{path[0]}.{table.by}")
    return values


def _is_about(where: str, touched: Sequence[KeyPath | None]) -> bool:
    """Whether a mistake at a place belongs to one of the keys or tables; one at no key may belong to any."""
    try:
        place = _without_numbers(path_of(where))
    except InputError:
        return True
    names = [_without_numbers(path) for path in touched if path is not None]
    return len(place) > 1 and any(place[: len(name)] == name for name in names)


def _without_numbers(path: KeyPath) -> tuple[str, ...]:
    """The names of a path without numbers: what is typed into one table may be a mistake of another like it, as with heights."""
    return tuple(step for step in path if isinstance(step, str))
