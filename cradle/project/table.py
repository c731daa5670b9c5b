"""What a table of keys is: for each key the field it fills and the converter that reads it."""

from __future__ import annotations

from dataclasses import MISSING, dataclass, field, fields
from enum import StrEnum
from typing import TYPE_CHECKING, Any

from cradle.project import cross_checks as meaning

if TYPE_CHECKING:
    from collections.abc import Mapping

    from cradle.project.convert import Convert
    from cradle.project.cross_checks import Check, Values


class Times(StrEnum):
    """How often a table may stand in a file."""

    ONCE = "once"
    """Its keys have their defaults where it does not stand in the file."""
    AT_MOST_ONCE = "at most once"
    """There is no such thing where it does not stand in the file."""
    MANY = "many"


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """One key: the field it fills, how it is read, what to say when it must be given but is not."""

    field: str
    convert: Convert
    missing: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """One TOML table: what it makes, its keys, and what its values must satisfy together."""

    makes: type[Any]
    keys: Mapping[str, Key]
    check: Check = meaning.nothing_to_check
    sources: Mapping[str, Table] = field(default_factory=dict)
    """Where its outline may come from instead of a drawing: tables of their own by name."""
    drawing: Table | None = None
    """Keys of an outline in a drawing, which stand in the table itself."""

    def defaults(self) -> Values:
        """Return the values of the fields that need not be given."""
        return {
            f.name: f.default_factory() if f.default_factory is not MISSING else f.default
            for f in fields(self.makes)
            if f.default is not MISSING or f.default_factory is not MISSING
        }
