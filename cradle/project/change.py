"""Change single keys or whole tables of a TOML text, and leave the rest of it as it was.

A new value is spliced in where the old one stood, so comments, order and
layout stay as they were, byte for byte: also where the same list of tables is
continued further down the file. A table is replaced or taken out with the
tables inside it, and taken out with the comment lines right above it too. The
result is read back; a file so laid out that a table cannot be changed line by
line is written anew from its values: correct, but without its comments.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from typing import Any, TypeAlias

from cradle.errors import InputError, InternalError, located
from cradle.project import toml_positions as at
from cradle.project.toml_positions import Place, WrittenAs
from cradle.project.writer import toml_value

_Block: TypeAlias = tuple[int, int]
"""Where a table's lines begin and end in the text."""


def with_value(text: str, path: at.KeyPath, value: object) -> str:
    r"""The text with one key set to a value, or taken out when the value is None, and everything else as it was.

    What the value means is checked when the text is read.

    Raises
    ------
    InputError
        If the text is no TOML, the value cannot stand in it, or the path leads
        through a list item that is not there.

    Examples
    --------
    >>> print(with_value("[fit]\nclearance = 0.35  # per side\n", ("fit", "clearance"), 0.4))
    [fit]
    clearance = 0.4  # per side
    <BLANKLINE>
    """
    key = at.dotted(path)
    before = _loaded(text, where=key)
    places = at.places_in(text)
    _check_reachable(before, path)
    with located(key):
        written = "" if value is None else toml_value(value)
    expected = _changed(before, path, None if value is None else tomllib.loads(f"v = {written}")["v"])
    if value is None:
        after = _without(text, places, path, expected)
    elif path in places:
        after = _spliced(text, places[path].start, places[path].end, written)
    else:
        after = _with_new_key(text, places, path, written)
    if _pruned(at.data_of(after)) != _pruned(expected):
        raise InternalError("the change would change more than this key", where=key)
    return after


def _check_reachable(data: Mapping[str, Any], path: at.KeyPath) -> None:
    inside: Any = data
    for index, step in enumerate(path[:-1]):
        so_far, next_step = at.dotted(path[: index + 1]), path[index + 1]
        if isinstance(step, int):
            if step >= len(inside):
                found = f"there is no {so_far}, the project has {len(inside)}"
                raise InputError(found, where=at.dotted(path), hint=f"add a table [[{path[0]}]] first")
            inside = inside[step]
        else:
            inside = inside.get(step, [] if isinstance(next_step, int) else {})
        if not isinstance(inside, list if isinstance(next_step, int) else dict):
            raise InputError(f"{so_far} is not a table", where=at.dotted(path), hint="run cradle check on it")


def _changed(data: dict[str, Any], path: at.KeyPath, value: object) -> dict[str, Any]:
    """``data`` after changing it in place."""
    inside: Any = data
    for step in path[:-1]:
        inside = inside.setdefault(step, {}) if isinstance(step, str) else inside[step]
    if value is None:
        inside.pop(path[-1], None)
    else:
        inside[path[-1]] = value
    return data


def _pruned(data: object) -> object:
    """The data without empty tables, which say nothing: taking out a dotted key may drop its table."""
    if isinstance(data, list):
        return [_pruned(entry) for entry in data]
    if isinstance(data, dict):
        pruned = {key: _pruned(entry) for key, entry in data.items()}
        return {key: entry for key, entry in pruned.items() if entry != {}}
    return data


def _spliced(text: str, start: int, end: int, new: str) -> str:
    return text[:start] + new + text[end:]


def _braces_around(places: Mapping[at.KeyPath, Place], path: at.KeyPath) -> at.KeyPath | None:
    """The innermost inline table that holds a key, if one does."""
    around = (path[:n] for n in range(len(path) - 1, 0, -1))
    return next((p for p in around if p in places and places[p].written_as is WrittenAs.INLINE), None)


def _with_new_key(text: str, places: Mapping[at.KeyPath, Place], path: at.KeyPath, written: str) -> str:
    """The text with a key that was not there, at the end of the table it belongs to."""
    newline = "\r\n" if "\r\n" in text else "\n"
    braces = _braces_around(places, path)
    if braces is not None:
        entry = f"{at.dotted(path[len(braces) :])} = {written}"
        ends = [place.end for p, place in places.items() if p[: len(braces)] == braces and p != braces]
        if ends:
            return _spliced(text, max(ends), max(ends), f", {entry}")
        return _spliced(text, places[braces].start, places[braces].end, f"{{ {entry} }}")
    parent = next(path[:n] for n in range(len(path) - 1, -1, -1) if path[:n] in places)
    if parent == ():
        lines = [f"[{at.dotted(path[:-1])}]", f"{path[-1]} = {written}", ""]
        gap = "" if not text else newline if text.endswith("\n") else 2 * newline
        return text + gap + newline.join(lines)
    scope = places[parent].scope
    ends = [place.end for p, place in places.items() if place.scope == scope and p[: len(parent)] == parent]
    line = f"{at.dotted(path[len(scope) :])} = {written}"
    line_end = text.find("\n", max(ends))
    if line_end < 0:
        return f"{text}{newline}{line}"
    return _spliced(text, line_end + 1, line_end + 1, f"{line}{newline}")


def _without(
    text: str, places: Mapping[at.KeyPath, Place], path: at.KeyPath, expected: Mapping[str, Any]
) -> str:
    """The text without a key: its lines go, or it alone from a table in braces."""
    if path not in places:
        return text
    braces = _braces_around(places, path)
    if braces is not None:
        inside: Any = expected
        for step in braces:
            inside = inside[step]
        return _spliced(text, places[braces].start, places[braces].end, toml_value(inside))
    start = text.rfind("\n", 0, places[path].start) + 1
    end = text.find("\n", places[path].end)
    return _spliced(text, start, len(text) if end < 0 else end + 1, "")


def with_new_table(text: str, name: str, values: Mapping[str, object]) -> str:
    r"""The text of a TOML file with one more table ``[[name]]``: behind the others of its name, else at the end.

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
    last = _block(text, (name, len(entries) - 1)) if entries else None
    if isinstance(entries, list):
        entries.append(tomllib.loads(f"v = {toml_value(values)}")["v"])
    end = len(text) if last is None else last[1]
    before, behind = text[:end], text[end:]
    gap = "" if not before or before.endswith("\n\n") else "\n" if before.endswith("\n") else "\n\n"
    return _checked(_between(before + gap, _table_lines(f"[[{name}]]", name, values), behind), data)


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
    lines = _table_lines(f"[[{name}]]" if many else f"[{name}]", name, values)
    return _checked(_between(text[: block[0]] + kept, lines, text[block[1] :]), data)


def _between(before: str, lines: Sequence[str], behind: str) -> str:
    """The lines of a table between two parts of a text, with a blank line before the second."""
    return before + "".join(f"{line}\n" for line in lines) + (f"\n{behind}" if behind else "")


def _loaded(text: str, *, where: str = "") -> dict[str, Any]:
    data = at.data_of(text)
    if data is None:
        raise InputError("the project file cannot be read", where=where, hint="run cradle check on it")
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
    """From where to where a table and all tables inside it stand in the text; None where they are not in one piece."""
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
