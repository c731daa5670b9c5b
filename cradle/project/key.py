"""Keys declared: a field of a spec says how its key is read, what it means and how a new project shows it.

A *spec* is a frozen class, one for each TOML table; each of its fields is a
`key`. The `Table` beside the class adds what its values must satisfy
together. Reader, writer, the commented project and the check of changed keys
are all made from these.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import MISSING, field, fields
from enum import StrEnum
from typing import Any, Final, TypeAlias, TypeVar, dataclass_transform

from cradle.errors import InputError
from cradle.names import listed
from cradle.noun import record
from cradle.project.convert import Choice, Convert
from cradle.project.mistake import Mistake, MistakeError

Values: TypeAlias = dict[str, Any]
"""Values of a table by the field they fill."""
Check: TypeAlias = Callable[[Values], Iterator[Mistake]]
"""From the values of a table to what contradicts itself in them. A mistaken value is absent, so a check looks before it compares."""

_UNITS: Final = ("_mm", "_deg", "_g", "_px", "_percent")
_KEY: Final = "key"
_Spec = TypeVar("_Spec")


@record
class Key:
    """One key of a table.

    Attributes
    ----------
    name : str
        As written in a file.
    field : str
        The field of the spec that it fills.
    says : str
        What it means, for people.
    shown : object
        Its value in a commented project; None is not shown.
    live : bool
        Whether a commented project gives it, rather than leaving it behind a #.
    """

    name: str
    field: str
    convert: Convert
    says: str
    required: bool
    shown: object
    live: bool

    def value(self, given: object, *, where: str) -> Any:
        """What the key's field becomes where the key is given by itself, outside a file.

        Raises
        ------
        InputError
            If it takes no such value; ``where`` is told as the place.
        """
        try:
            return self.convert(given)
        except MistakeError as error:
            mistake = error.mistakes[0]
            raise InputError(mistake.found, where=where, hint=mistake.hint) from error

    @property
    def meaning(self) -> str:
        """Its meaning with the words that it takes, for a comment."""
        return self._with_words(" | ".join(self._words))

    @property
    def wanted(self) -> str:
        """Its meaning with the words that it takes, for a message."""
        return self._with_words(listed(self._words, "or") if self._words else "")

    @property
    def _words(self) -> tuple[str, ...]:
        return self.convert.words if isinstance(self.convert, Choice) else ()

    def _with_words(self, words: str) -> str:
        if "{}" in self.says or not words:
            return self.says.replace("{}", words)
        return f"{self.says}: {words}" if self.says else words


def key(
    convert: Convert,
    says: str = "",
    *,
    default: Any = MISSING,
    name: str = "",
    start: object = None,
    example: object = None,
) -> Any:
    """A field of a spec that a key of its table fills.

    Parameters
    ----------
    convert : Convert
        How it is read, with its bounds.
    says : str
        What it means; ``{}`` stands for the words it takes, which else come last.
    default : Any
        Its value where it is left out; without one it must be given.
    name : str
        As written in a file, where that is not the field's name without its unit.
    start : object
        What a new project gives, where that is not the default.
    example : object
        What a new project shows behind a #, in place of a default.
    """
    said = {"convert": convert, "says": says, "name": name, "start": start, "example": example}
    return field(default=default, metadata={_KEY: said})


@dataclass_transform(kw_only_default=True, frozen_default=True, field_specifiers=(key, field))
def spec(cls: type[_Spec]) -> type[_Spec]:
    """The class as a record, whose fields may be keys."""
    return record(cls)


def _keys_of(makes: type[Any]) -> dict[str, Key]:
    keys = {}
    for f in fields(makes):
        said = f.metadata.get(_KEY)
        if said is None:
            continue
        unit = next((unit for unit in _UNITS if f.name.endswith(unit)), "")
        name = said["name"] or f.name.removesuffix(unit)
        default = None if f.default is MISSING or f.default == () else f.default
        start = default if said["start"] is None else said["start"]
        live = None if said["example"] is not None else start
        keys[name] = Key(
            name=name,
            field=f.name,
            convert=said["convert"],
            says=said["says"],
            required=f.default is MISSING,
            shown=said["example"] if live is None else live,
            live=live is not None or f.default is MISSING,
        )
    return keys


@record
class Table:
    """One TOML table: what it makes, and what its values must satisfy together.

    Attributes
    ----------
    makes : type
        A spec, whose fields declare the keys.
    says : str
        What it is for: one line stands beside its header in a commented project, more stand above it.
    drawing : Table or None
        Keys of an outline in a drawing, which stand in the table itself.
    sources : mapping of str to Table
        Where its outline may come from instead: tables of their own by name.
    counted_as : str
        Word that, with its number, names one that has no name, as in ``section 2``; the spec keeps that number
        as its ``number``, counted from 0.
    keys : mapping of str to Key
    """

    makes: type[Any]
    says: str = ""
    check: Check = lambda _: iter(())
    drawing: Table | None = None
    sources: Mapping[str, Table] = field(default_factory=dict)
    counted_as: str = ""
    keys: Mapping[str, Key] = field(init=False)

    def __post_init__(self) -> None:
        """Take the keys from the fields of the spec."""
        object.__setattr__(self, "keys", _keys_of(self.makes))

    @property
    def inside(self) -> dict[str, Table | None]:
        """All that may stand in the table: its keys (None), and its tables by name."""
        drawn = self.drawing.keys if self.drawing is not None else {}
        return {**dict.fromkeys((*self.keys, *drawn)), **self.sources}

    def defaults(self) -> Values:
        """Values of the fields that need not be given."""
        return {f.name: f.default for f in fields(self.makes) if f.default is not MISSING}


@record
class Kinds:
    """Tables of one name that differ by the word of one key, such as the kinds of opening."""

    by: str
    tables: Mapping[str, Table]
    says: str

    @property
    def inside(self) -> dict[str, Table | None]:
        """All that may stand in a table of some kind."""
        return dict.fromkeys((self.by, *(name for table in self.tables.values() for name in table.keys)))


class Occurrence(StrEnum):
    """How often a table may stand in a file."""

    ONCE = "once"
    """Its keys have their defaults where it does not stand in the file."""
    AT_MOST_ONCE = "at most once"
    """There is no such thing where it does not stand in the file."""
    MANY = "many"


@record
class Example:
    """One table as a commented project shows it.

    Attributes
    ----------
    shows : mapping of str to object
        Values by key; ``...`` is what the key itself shows, and all keys of a table inside.
    rest : bool
        Whether the keys not named are shown behind them.
    live : bool
        Whether it counts, rather than standing behind a #.
    says : str
        What stands above it.
    """

    shows: Mapping[str, object] = field(default_factory=dict)
    rest: bool = True
    live: bool = False
    says: str = ""


@record
class TopLevelTable:
    """A table at the top level of a file and the field of the whole that it fills.

    Of many, ``most`` are read, and taken in the rising order of a key; without ``rising``, as they stand.
    """

    field: str
    table: Table | Kinds
    occurrence: Occurrence = Occurrence.ONCE
    most: int = 1
    rising: Key | None = None
    examples: tuple[Example, ...] = (Example(live=True),)

    def order(self, entries: Sequence[Any]) -> list[int]:
        """The places of many tables in a file, from 0, in the order in which they are taken.

        Those where the key says the same stay as they stand; one where it cannot be read comes last.
        """
        key = self.rising

        def rank(place: int) -> float:
            try:
                return 0.0 if key is None else float(key.convert(entries[place][key.name]))
            except (MistakeError, LookupError, TypeError):
                return math.inf

        return sorted(range(len(entries)), key=rank)
