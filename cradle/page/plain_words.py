"""Messages in the words of the page: those of other rooms speak of the project file and of commands."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator
from typing import Final

from cradle.page.field_words import CHOICES
from cradle.project.key import Kinds, Table
from cradle.project.project import TABLES


def _keys(name: str, table: Table | Kinds) -> Iterator[tuple[str, str]]:
    """The keys of a table and of those inside it, each with the name of the table that it stands in."""
    if isinstance(table, Kinds):
        yield from ((name, key) for key in table.inside)
        return
    yield from ((name, key) for key in table.keys)
    for source, inner in table.sources.items():
        yield from _keys(source, inner)


_KEYS: Final = {at for name, top in TABLES.items() for at in _keys(name, top.table)}
_TABLES_WITH: Final = Counter(key for _, key in _KEYS)
_VALUES: Final = {value for choices in CHOICES.values() for value in choices}
_COMPOSED: Final = sorted(word for word in {*TABLES, *_TABLES_WITH, *_VALUES} if "_" in word)
_CHOSEN: Final[tuple[tuple[re.Pattern[str], str], ...]] = tuple(
    (re.compile(rf'\b{key} = "{value}"'), f"{key.replace('_', ' ')} “{words}”")
    for (_, key), choices in CHOICES.items()
    if _TABLES_WITH[key] == 1  # else it may be another table's
    for value, words in choices.items()
)
"""What a form's field offers, in the words that stand there."""
_PLAIN: Final[tuple[tuple[re.Pattern[str], str | Callable[[re.Match[str]], str]], ...]] = (
    *_CHOSEN,
    (re.compile(r"\bset (\w+) = "), r"set \1 to "),
    (re.compile(r"\brecord it: cradle trial [-A-Z a-z]+"), "note it under Trials"),
    (re.compile(r"\[+([a-z_]+)\]+"), r"\1"),
    (re.compile(r'\b([a-z_]+) = ("?)([\w.+-]+)\2'), r"\1 \3"),
    (re.compile(r"\btable (?=plate\b|row\b|opening\b)"), ""),
    (re.compile(rf"\b(?:{'|'.join(_COMPOSED)})\b"), lambda match: match[0].replace("_", " ")),
)
"""What is said in a file's way or by a command, and how the page says it."""


def plain_words(text: str) -> str:
    """A message without brackets, equals signs and commands.

    Examples
    --------
    >>> plain_words('set clearance = 1.70, or use form = "box"; found 2 beside a table [plate]')
    'set clearance to 1.70, or use form box; found 2 beside a plate'
    >>> plain_words("as wide as tip_angle asks for: [0, 0, 1] is up, my_drawing.svg")
    'as wide as tip angle asks for: [0, 0, 1] is up, my_drawing.svg'
    >>> plain_words('of a drawn line say shape = "line"'), plain_words('use through = "front"')
    ('of a drawn line say shape “a drawn line”', 'use through “the front”')
    """
    for pattern, words in _PLAIN:
        text = pattern.sub(words, text)
    return text
