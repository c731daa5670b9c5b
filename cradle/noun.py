"""What nouns are: frozen classes of named fields, given by keyword."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TypeVar, dataclass_transform

_Noun = TypeVar("_Noun")


@dataclass_transform(kw_only_default=True, frozen_default=True, eq_default=False, field_specifiers=(field,))
def noun(cls: type[_Noun]) -> type[_Noun]:
    """The class as a frozen dataclass whose fields are given by keyword; equal to itself alone.

    Examples
    --------
    >>> @noun
    ... class Length:
    ...     value_mm: float
    ...     sure_mm: float = 0.1
    >>> Length(value_mm=3.0)
    Length(value_mm=3.0, sure_mm=0.1)
    >>> Length(value_mm=3.0) == Length(value_mm=3.0)
    False
    """
    return dataclass(frozen=True, slots=True, eq=False, kw_only=True)(cls)


@dataclass_transform(kw_only_default=True, frozen_default=True, field_specifiers=(field,))
def record(cls: type[_Noun]) -> type[_Noun]:
    """The same, equal to one of its class whose fields are all equal.

    Examples
    --------
    >>> @record
    ... class Length:
    ...     value_mm: float
    >>> Length(value_mm=3.0) == Length(value_mm=3.0)
    True
    """
    return dataclass(frozen=True, slots=True, kw_only=True)(cls)
