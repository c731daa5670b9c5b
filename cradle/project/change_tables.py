"""Add, replace and take out whole tables of a TOML text, and leave the rest of it as it was.

A table is replaced or taken out with the tables inside it, and taken out with
the comment lines right above it too. Where a file is laid out so that this
cannot be done line by line, it is written anew from its values: correct, but without its comments.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from typing import Any, TypeAlias

from cradle.errors import InputError
from cradle.project import toml_positions as at
from cradle.project.toml_positions import WrittenAs
from cradle.project.writer import toml_value

_Block: TypeAlias = tuple[int, int]
"""Where a table's lines begin and end in the text."""


def with_new_table(text: str, name: str, values: Mapping[str, object]) -> str:
    r"""The text with one more table ``[[name]]``: behind the others of its name, else at the end.

    Parameters
    ----------
    text : str
        TOML.
    values : mapping
        Its keys; a mapping among the values becomes a table inside it.

    Raises
    ------
    InputError
        If the text is no TOML, or a value cannot stand in it.

    Examples
    --------
    >>> print(with_new_table("", "opening", {"kind": "drain", "diameter": 6.0}), end="")
    [[opening]]
    kind = "drain"
    diameter = 6.0
    """
    data = _loaded(text)
    entries = data.setdefault(name, [])
    lines = "".join(f"{line}\n" for line in _table_lines(f"[[{name}]]", name, values))
    last = _block(text, (name, len(entries) - 1)) if entries else None
    if isinstance(entries, list):
        entries.append(tomllib.loads(f"v = {toml_value(values)}")["v"])
    end = len(text) if last is None else last[1]
    before, behind = text[:end], text[end:]
    gap = "" if not before or before.endswith("\n\n") else "\n" if before.endswith("\n") else "\n\n"
    return _checked(f"{before}{gap}{lines}{chr(10) if behind else ''}{behind}", data)


def without_table(text: str, path: at.KeyPath) -> str:
    """The text without a table, such as ``("section", 0)`` or ``("plate",)``.

    Raises
    ------
    InputError
        If the text is no TOML or there is no such table.
    """
    data = _loaded_with(text, path)
    block = _block(text, path)
    if len(path) == 1:
        del data[str(path[0])]
    else:
        del data[str(path[0])][path[1]]
        if not data[str(path[0])]:
            del data[str(path[0])]
    after = text if block is None else text[: block[0]] + text[block[1] :]
    return _checked(after.lstrip("\n") if block and block[0] == 0 else after, data)


def with_table(text: str, path: at.KeyPath, values: Mapping[str, object]) -> str:
    """The text with all the values of a table put in place of those it had.

    Raises
    ------
    InputError
        If the text is no TOML, there is no such table, or a value cannot stand in it.
    """
    data = _loaded_with(text, path)
    name, many = str(path[0]), len(path) > 1
    block = _block(text, path)
    new = tomllib.loads(f"v = {toml_value(values)}")["v"]
    if many:
        data[name][path[1]] = new
    else:
        data[name] = new
    if block is None:
        return _checked(text, data)
    start = at.places_in(text)[path].start
    kept = text[block[0] : text.rfind("\n", 0, start) + 1]
    lines = "".join(
        f"{line}\n" for line in _table_lines(f"[[{name}]]" if many else f"[{name}]", name, values)
    )
    rest = text[block[1] :]
    return _checked(f"{text[: block[0]]}{kept}{lines}{chr(10) if rest else ''}{rest}", data)


def _loaded(text: str) -> dict[str, Any]:
    data = at.data_of(text)
    if data is None:
        raise InputError("the project file cannot be read", hint="run cradle check on it")
    return data


def _loaded_with(text: str, path: at.KeyPath) -> dict[str, Any]:
    data = _loaded(text)
    inside: Any = data
    try:
        for step in path:
            inside = inside[step]
    except (KeyError, IndexError, TypeError) as error:
        raise InputError("there is no such table", where=at.dotted(path)) from error
    return data


def _block(text: str, path: at.KeyPath) -> _Block | None:
    """Where a table and all inside it stand, in one piece; None where they do not."""
    places = at.places_in(text)
    place = places.get(path)
    if place is None or place.written_as is not WrittenAs.HEADER:
        return None
    heads = sorted(
        (p.start, q) for q, p in places.items() if p.written_as is WrittenAs.HEADER and q and p.end > p.start
    )
    behind = [start for start, q in heads if start > place.start and q[: len(path)] != path]
    return _top_of(text, place.start), _top_of(text, behind[0]) if behind else len(text)


def _top_of(text: str, start: int) -> int:
    """The beginning of the comment lines right above a header, or of its own line."""
    top = text.rfind("\n", 0, start) + 1
    while top > 0:
        line_start = text.rfind("\n", 0, top - 1) + 1
        if not text[line_start : top - 1].lstrip().startswith("#"):
            break
        top = line_start
    return 0 if top > 0 and not text[:top].strip() else top


def _checked(after: str, data: Mapping[str, Any]) -> str:
    """The text if it says what the data do, else the data written anew."""
    return after if at.data_of(after) == data else _written(data)


def _written(data: Mapping[str, Any]) -> str:
    lines: list[str] = []
    for name, value in data.items():
        if isinstance(value, Mapping):
            lines += [*_table_lines(f"[{at.dotted((name,))}]", at.dotted((name,)), value), ""]
        elif isinstance(value, list) and value and all(isinstance(entry, Mapping) for entry in value):
            for entry in value:
                lines += [*_table_lines(f"[[{at.dotted((name,))}]]", at.dotted((name,)), entry), ""]
        else:
            lines.insert(0, f"{at.dotted((name,))} = {toml_value(value)}")
    return "\n".join(lines)


def _table_lines(header: str, name: str, values: Mapping[str, object]) -> Sequence[str]:
    """The lines of a table, its plain keys first, then the tables inside it."""
    plain = [f"{at.dotted((k,))} = {toml_value(v)}" for k, v in values.items() if not isinstance(v, Mapping)]
    inside = [
        line
        for k, v in values.items()
        if isinstance(v, Mapping)
        for line in _table_lines(f"[{name}.{at.dotted((k,))}]", f"{name}.{at.dotted((k,))}", v)
    ]
    return [header, *plain, *inside]
