"""Change single keys of a TOML text and nothing else in it.

A new value is spliced in where the old one stood, so comments, order and
layout stay as they were, byte for byte: also where the same list of tables is
continued further down the file. The result is read back before it is handed over.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from typing import Any

from cradle.errors import InputError, InternalError
from cradle.project import toml_positions as at
from cradle.project.toml_positions import Place, WrittenAs
from cradle.project.writer import toml_value


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
    before = at.data_of(text)
    if before is None:
        raise InputError("the project file cannot be read", where=key, hint="run cradle check on it")
    places = at.places_in(text)
    _check_reachable(before, path)
    try:
        written = "" if value is None else toml_value(value)
    except InputError as error:
        raise error.within(key) from error
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


def _name(path: at.KeyPath) -> str:
    return ".".join(str(part) for part in path)


def _braces_around(places: Mapping[at.KeyPath, Place], path: at.KeyPath) -> at.KeyPath | None:
    """The innermost inline table that holds a key, if one does."""
    return next((path[:n] for n in range(len(path) - 1, 0, -1) if _is_inline(places, path[:n])), None)


def _is_inline(places: Mapping[at.KeyPath, Place], path: at.KeyPath) -> bool:
    return path in places and places[path].written_as is WrittenAs.INLINE


def _with_new_key(text: str, places: Mapping[at.KeyPath, Place], path: at.KeyPath, written: str) -> str:
    """The text with a key that was not there, at the end of the table it belongs to."""
    newline = "\r\n" if "\r\n" in text else "\n"
    braces = _braces_around(places, path)
    if braces is not None:
        entry = f"{_name(path[len(braces) :])} = {written}"
        ends = [place.end for p, place in places.items() if p[: len(braces)] == braces and p != braces]
        if ends:
            return _spliced(text, max(ends), max(ends), f", {entry}")
        return _spliced(text, places[braces].start, places[braces].end, f"{{ {entry} }}")
    parent = next(path[:n] for n in range(len(path) - 1, -1, -1) if path[:n] in places)
    if parent == ():
        lines = [f"[{_name(path[:-1])}]", f"{path[-1]} = {written}", ""]
        gap = "" if not text else newline if text.endswith("\n") else 2 * newline
        return text + gap + newline.join(lines)
    scope = places[parent].scope
    ends = [place.end for p, place in places.items() if place.scope == scope and p[: len(parent)] == parent]
    line = f"{_name(path[len(scope) :])} = {written}"
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
