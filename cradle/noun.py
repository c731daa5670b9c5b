"""What nouns are: frozen classes of named fields, given by keyword.

The fields are those of Python's data classes; what a noun does stands here once for all of them. Methods generated
for each of two hundred classes took a tenth of the time of a short command.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import MISSING, FrozenInstanceError, dataclass, field, fields
from typing import Any, NoReturn, TypeVar, dataclass_transform

_Noun = TypeVar("_Noun")


@dataclass_transform(kw_only_default=True, frozen_default=True, eq_default=False, field_specifiers=(field,))
def noun(cls: type[_Noun]) -> type[_Noun]:
    """The class with fields that are given by keyword and never change; one is equal to itself alone.

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
    made: Any = dataclass(init=False, repr=False, eq=False, slots=True, kw_only=True)(cls)
    made.__init__ = _filling(made)
    made.__repr__ = _shown
    made.__setattr__ = made.__delattr__ = _refused
    made.__getstate__, made.__setstate__ = _values, _restored
    return made


@dataclass_transform(kw_only_default=True, frozen_default=True, field_specifiers=(field,))
def record(cls: type[_Noun]) -> type[_Noun]:
    """The same, but equal to one of its class whose fields are all equal.

    Examples
    --------
    >>> @record
    ... class Length:
    ...     value_mm: float
    >>> Length(value_mm=3.0) == Length(value_mm=3.0)
    True
    """
    made: Any = noun(cls)
    made.__eq__, made.__hash__ = _alike, _hashed
    return made


def _filling(made: type[Any]) -> Callable[..., None]:
    """What fills the fields of a new one, each as given or by its default."""
    name = made.__name__
    slots: list[tuple[str, Any, Any, Any]] = [
        (f.name, getattr(made, f.name).__set__, f.default, f.default_factory) for f in fields(made) if f.init
    ]
    afterwards = getattr(made, "__post_init__", None)

    def fill(self: Any, **given: Any) -> None:
        for field_name, put, default, fresh in slots:
            value = given.pop(field_name, default)
            if value is MISSING:
                if fresh is MISSING:
                    raise TypeError(f"{name} needs {field_name}")
                value = fresh()
            put(self, value)
        if given:
            raise TypeError(f"{name} has no {', '.join(given)} to be given")
        if afterwards is not None:
            afterwards(self)

    return fill


def _shown(self: Any) -> str:
    said = (f"{f.name}={getattr(self, f.name)!r}" for f in fields(self) if f.repr)
    return f"{type(self).__qualname__}({', '.join(said)})"


def _refused(self: Any, name: str, *_: object) -> NoReturn:
    raise FrozenInstanceError(f"{name} of a {type(self).__name__} does not change")


def _values(self: Any) -> list[Any]:
    return [getattr(self, f.name) for f in fields(self)]


def _restored(self: Any, values: list[Any]) -> None:
    for f, value in zip(fields(self), values, strict=True):
        object.__setattr__(self, f.name, value)


def _compared(self: Any) -> tuple[Any, ...]:
    return tuple(getattr(self, f.name) for f in fields(self) if f.compare)


def _alike(self: Any, other: object) -> bool:
    return type(other) is type(self) and _compared(self) == _compared(other)


def _hashed(self: Any) -> int:
    return hash(_compared(self))
