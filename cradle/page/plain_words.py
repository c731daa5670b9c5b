"""Messages in the words of the page: those of other rooms speak of the project file and of commands."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Final

from cradle.page.field_words import CHOICES
from cradle.project.key import Kinds, Table
from cradle.project.project import TABLES


def _keys(table: Table | Kinds) -> set[str]:
    inner = list(table.tables.values()) if isinstance(table, Kinds) else [table, *table.sources.values()]
    return {name for one in inner for name in one.keys}


_COMPOSED: Final = sorted(
    word
    for name, top in TABLES.items()
    for word in ({name} | _keys(top.table) | {"cut_out", "bank_card"})
    if "_" in word
)
_CHOSEN: Final[tuple[tuple[re.Pattern[str], str], ...]] = tuple(
    (re.compile(rf'\b{key} = "{value}"'), f"{key.replace('_', ' ')} “{words}”")
    for (_, key), choices in CHOICES.items()
    if key in ("shape", "align", "corner_form", "hole", "ring")  # of one table alone
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
    >>> plain_words('of a drawn line say shape = "line"')
    'of a drawn line say shape “a drawn line”'
    """
    for pattern, words in _PLAIN:
        text = pattern.sub(words, text)
    return text
