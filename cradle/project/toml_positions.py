"""Where each key stands in a TOML text: tomllib tells values, this tells lines.

The text must have passed tomllib already, so the scanner only tells strings,
comments, brackets and keys apart; it judges nothing. It follows the grammar
of TOML 1.0.0 (toml.io/en/v1.0.0): headers, arrays of tables, dotted and quoted
keys, inline tables, arrays and the four kinds of string.
"""

from __future__ import annotations

import json
import re
import tomllib
from bisect import bisect_right
from collections.abc import Mapping
from enum import StrEnum
from typing import Any, Final, TypeAlias

from cradle.errors import InputError
from cradle.noun import record

KeyPath: TypeAlias = tuple[str | int, ...]
"""Such as ``("section", 0, "height")``: lists are counted from 0 here, from 1 in `dotted`."""

_STEP: Final = re.compile(r"(?P<word>[A-Za-z0-9_-]+)(?:\[(?P<number>[0-9]{1,6})\])?")
_BARE_KEY: Final = re.compile(r"[A-Za-z0-9_-]+")
_PART: Final = re.compile(r"""[A-Za-z0-9_-]+|"(?:[^"\\\n]|\\.)*"|'[^'\n]*'""")
_DOTTED_KEY: Final = re.compile(rf"(?:{_PART.pattern})(?:[ \t]*\.[ \t]*(?:{_PART.pattern}))*")
_MOST_PARTS: Final = 32
"""Of a dotted key: tomllib's time and memory grow with the square of their number."""
_BLANK: Final = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_SPACE: Final = re.compile(r"[ \t]*")
_STRING: Final = re.compile(
    r'"""(?:[^\\]|\\.)*?"""(?:"{0,2})'
    r"|'''.*?'''(?:'{0,2})"
    r'|"(?:[^"\\\n]|\\.)*"'
    r"|'[^'\n]*'",
    re.DOTALL,
)
_PLAIN: Final = re.compile(r"[^,\]}#\r\n]*")


class WrittenAs(StrEnum):
    """How a key or table came to be."""

    HEADER = "header"
    """A table by ``[name]`` or ``[[name]]``."""
    DOTTED = "dotted"
    """A table by a dotted key, ``fit.clearance = ...``."""
    INLINE = "inline"
    """A table in braces."""
    VALUE = "value"
    """Anything else that has a value."""


@record
class Place:
    """Where a key or table stands.

    ``start`` and ``end`` are offsets into the text, of the value or of the
    header; ``scope`` is the path of the header in force.
    """

    line: int
    start: int
    end: int
    written_as: WrittenAs
    scope: KeyPath


def dotted(path: KeyPath) -> str:
    """The dotted key of a path: ``section[1].height``, lists counted from 1."""
    text = ""
    for part in path:
        if isinstance(part, int):
            text += f"[{part + 1}]"
            continue
        word = part[:60] if _BARE_KEY.fullmatch(part) else json.dumps(part[:60], ensure_ascii=False)
        text += f".{word}" if text else word
    return text


def path_of(key: str) -> KeyPath:
    """The path of a dotted key whose lists count from 1, such as ``section[1].height``.

    Raises
    ------
    InputError
        If it is none.

    Examples
    --------
    >>> path_of("section[2].picture.pick")
    ('section', 1, 'picture', 'pick')
    """
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
    return tuple(path)


def line_of(places: Mapping[KeyPath, Place], path: KeyPath) -> int | None:
    """The line of a path, of the nearest table around it, or of the first inside it; None when none is in the text."""
    for length in range(len(path), 0, -1):
        if path[:length] in places:
            return places[path[:length]].line
    return next(
        (place.line for inside, place in places.items() if path and inside[: len(path)] == path), None
    )


class OverlongKeyError(ValueError):
    """A key of more parts than any project has, in a ``line`` of a text."""

    def __init__(self, line: int) -> None:
        super().__init__(f"a key has too many parts (at line {line}, column 1)")
        self.line = line


def loaded(text: str) -> dict[str, Any]:
    """What a TOML text says; none is read that would cost more than its size.

    Raises
    ------
    ValueError
        If it is no TOML; an `OverlongKeyError` where a key has too many parts.

    Notes
    -----
    Python's RecursionError passes through where lists or tables are nested too deeply.
    """
    line = overlong_key(text)
    if line is not None:
        raise OverlongKeyError(line)
    return tomllib.loads(text)


def data_of(text: str) -> dict[str, Any] | None:
    """What a text says; None where it is no TOML."""
    try:
        return loaded(text)
    except (ValueError, RecursionError):
        return None


def overlong_key(text: str) -> int | None:
    """The line of a dotted key or header of more parts than any project has; None where there is none."""
    for found in _DOTTED_KEY.finditer(text):
        if found.group().count(".") < _MOST_PARTS or len(_PART.findall(found.group())) <= _MOST_PARTS:
            continue
        before = found.start()
        while before and text[before - 1] in " \t":
            before -= 1
        if before == 0 or text[before - 1] in "\n[{,":  # elsewhere it stands in a remark or in a text
            return text.count("\n", 0, found.start()) + 1
    return None


def places_in(text: str) -> dict[KeyPath, Place]:
    """The place of every key, table and list item of a TOML text that tomllib accepts.

    The root table has the path ``()``.
    """
    return _Scan(text).run()


class _Scan:
    """One walk through a text."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.breaks = [found.start() for found in re.finditer("\n", text)]
        self.places: dict[KeyPath, Place] = {}
        self.counts: dict[KeyPath, int] = {}
        self.scope: KeyPath = ()

    def run(self) -> dict[KeyPath, Place]:
        self.note((), start=0, end=0, written_as=WrittenAs.HEADER)
        self.skip(_BLANK)
        while self.at < len(self.text):
            if self.text[self.at] == "[":
                self.header()
            else:
                self.pair(self.scope)
            self.skip(_BLANK)
        return self.places

    def note(self, path: KeyPath, *, start: int, end: int, written_as: WrittenAs) -> None:
        line = bisect_right(self.breaks, start - 1) + 1
        self.places[path] = Place(line=line, start=start, end=end, written_as=written_as, scope=self.scope)

    def skip(self, pattern: re.Pattern[str]) -> str:
        found = pattern.match(self.text, self.at)
        if found is None:
            return ""
        self.at = found.end()
        return found.group()

    def key(self) -> tuple[str, ...]:
        text = self.skip(_DOTTED_KEY)
        if not text:  # tomllib would have refused it: move on rather than stand still
            self.at += 1
            return ("",)
        if '"' not in text and "'" not in text:
            return tuple(part.strip() for part in text.split("."))
        parts = []
        table = tomllib.loads(f"{text} = {{}}")
        while table:
            (name, table), *_ = table.items()
            parts.append(name)
        return tuple(parts)

    def header(self) -> None:
        start = self.at
        many = self.text.startswith("[[", start)
        self.at += 2 if many else 1
        self.skip(_SPACE)
        *parents, name = self.key()
        self.skip(_SPACE)
        self.at += 2 if many else 1
        path: KeyPath = ()
        for part in parents:
            path = self.latest((*path, part))
        path = (*path, name)
        if many:
            count = self.counts.get(path, 0)
            self.counts[path] = count + 1
            self.scope = (*path, count)
            if count == 0:
                self.note(path, start=start, end=self.at, written_as=WrittenAs.HEADER)
            path = self.scope
        self.scope = path
        self.note(path, start=start, end=self.at, written_as=WrittenAs.HEADER)

    def latest(self, path: KeyPath) -> KeyPath:
        count = self.counts.get(path)
        return path if count is None else (*path, count - 1)

    def pair(self, table: KeyPath) -> None:
        start = self.at
        *parents, name = self.key()
        path = table
        for part in parents:
            path = (*path, part)
            if path not in self.places:
                self.note(path, start=start, end=self.at, written_as=WrittenAs.DOTTED)
        self.skip(_SPACE)
        self.at += 1  # the equals sign
        self.skip(_SPACE)
        self.value((*path, name))

    def value(self, path: KeyPath) -> None:
        start = self.at
        opening = self.text[start : start + 1]
        self.note(
            path, start=start, end=start, written_as=WrittenAs.INLINE if opening == "{" else WrittenAs.VALUE
        )
        if opening in {"[", "{"}:
            self.at += 1
            self.items(path, closing="]" if opening == "[" else "}")
        elif opening in {'"', "'"}:
            self.skip(_STRING)
        else:
            self.at = start + len(self.skip(_PLAIN).rstrip())
        self.note(path, start=start, end=self.at, written_as=self.places[path].written_as)

    def items(self, path: KeyPath, *, closing: str) -> None:
        count = 0
        self.skip(_BLANK)
        while self.at < len(self.text) and self.text[self.at] != closing:
            before = self.at
            if closing == "]":
                self.value((*path, count))
            else:
                self.pair(path)
            count += 1
            self.skip(_BLANK)
            if self.text.startswith(",", self.at):
                self.at += 1
                self.skip(_BLANK)
            if self.at == before:
                self.at += 1
        self.at += 1
