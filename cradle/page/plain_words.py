"""Messages in the words of the page: those of other rooms speak of the project file and of commands."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator
from typing import Final

from cradle.names import AdvisedSetting, with_settings
from cradle.page.field_words import CHOICES, LABELS, TITLES
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
_CHOICES: Final = {key: choices for (_, key), choices in CHOICES.items() if _TABLES_WITH[key] == 1}
"""What people read in place of a field's words, by the field's key; only keys that a single table has."""
_LABELLED: Final = {
    key: f"“{label}”" for (_, key), label in LABELS.items() if "_" in key and _TABLES_WITH[key] == 1
}
"""What a form calls the fields whose keys are no words, by their keys; only keys that a single table has."""
_COMPOSED: Final = sorted(
    word
    for word in {*TABLES, *_TABLES_WITH, *(v for choices in CHOICES.values() for v in choices)}
    if "_" in word
)
_GIVE_FILE: Final = re.compile(r'\bgive outline = "FILE"(?: or a table \[[a-z_.]+\])+')
_NAMED: Final = re.compile(r'("[^"]*")')
"""What somebody named, between quotes."""
_PLAIN: Final[tuple[tuple[re.Pattern[str], str | Callable[[re.Match[str]], str]], ...]] = (
    (re.compile(r" \(cradle trace draws them\)"), ""),  # as the page does
    (re.compile(r" \(at\)"), ""),  # its field is called a place
    (re.compile(r"\bunder \[([a-z_]+)\]"), lambda match: f"under “{TITLES.get(match[1], match[1])}”"),
    (re.compile(r"\[+([a-z_]+)\]+"), r"\1"),
    (re.compile(r"\btable (?=plate\b|row\b|opening\b)"), ""),
    (re.compile(rf"\b(?:{'|'.join(_COMPOSED)})\b"), lambda match: _as_labelled(match[0])),
)
"""What is said in a file's way, and how the page says it."""


def plain_words(text: str) -> str:
    """A message without brackets and equals signs, but for what somebody named.

    Examples
    --------
    >>> plain_words('set clearance = 1.70, or use form = "box"; found 2 beside a table [plate]')
    'set clearance to 1.70, or use form box; found 2 beside a plate'
    >>> plain_words("as wide as tip_angle asks for: [0, 0, 1] is up, my_drawing.svg")
    'as wide as tip angle asks for: [0, 0, 1] is up, my_drawing.svg'
    >>> plain_words("give one of them a place of its own (at)")
    'give one of them a place of its own'
    >>> plain_words('of a drawn line say shape = "line"'), plain_words('use through = "front"')
    ('of a drawn line say shape “a drawn line”', 'use through “the front”')
    >>> plain_words('and lift_out = "auto" finds no better way'), plain_words("lift it out more upright (lift_out)")
    ('and “way it is lifted out” auto finds no better way', 'lift it out more upright (“way it is lifted out”)')
    >>> plain_words('write height = "4.4 cm"; all is well')
    'write height 4.4 cm; all is well'
    >>> plain_words("say between = 0.1 under [spread]")
    'say between 0.1 under “How far off readings may be”'
    >>> plain_words('no outline found; give outline = "FILE" or a table [view.picture]')
    'no outline found; choose the file of its outline'
    >>> plain_words("write the readings in mm (1 in = 25.4 mm)")
    'write the readings in mm (1 in = 25.4 mm)'
    >>> plain_words('section "[height = 5] tip_angle" has no tip_angle')
    'section "[height = 5] tip_angle" has no tip angle'
    """
    text = _GIVE_FILE.sub("choose the file of its outline", text)
    text = with_settings(re.sub(r"\bset (\w+) = (?!\")", r"set \1 to ", text), _as_in_form)
    return "".join(own if number % 2 else _plain(own) for number, own in enumerate(_NAMED.split(text)))


def _plain(text: str) -> str:
    for pattern, words in _PLAIN:
        text = pattern.sub(words, text)
    return text


def _as_in_form(one: AdvisedSetting) -> str:
    if one.key not in _TABLES_WITH:  # an equation
        return one.written
    words = _CHOICES.get(one.key, {}).get(one.value)
    key = _LABELLED.get(one.key, one.key)
    return f"{key} {one.value}" if words is None else f"{key} “{words}”"


def _as_labelled(key: str) -> str:
    return _LABELLED.get(key, key.replace("_", " "))
