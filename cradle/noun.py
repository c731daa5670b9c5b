"""What nouns are made with: frozen, slotted classes of named fields, at a fraction of what `dataclass` alone costs.

A command makes some two hundred of them before it begins. `dataclass` compiles
four to six methods for each; here all share theirs but for the one that sets
the fields, which is compiled when the first of a class is made.
"""

from __future__ import annotations

from dataclasses import MISSING, FrozenInstanceError, dataclass, field, fields
from typing import Any, NoReturn, TypeVar, dataclass_transform

_Noun = TypeVar("_Noun")


@dataclass_transform(kw_only_default=True, frozen_default=True, eq_default=False, field_specifiers=(field,))
def noun(cls: type[_Noun]) -> type[_Noun]:
    """The class with its annotations as fields, given by keyword and never set again; equal to itself alone.

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
    made.__init__ = _first_init(made)
    made.__setattr__, made.__delattr__ = _refuse, _refuse
    made.__repr__, made.__getstate__, made.__setstate__ = _repr, _state, _set_state
    return made


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
    made: Any = noun(cls)
    made.__eq__, made.__hash__ = _equal, _hash
    return made


def _first_init(cls: type[Any]) -> Any:
    """What makes the first of a class: it compiles ``__init__`` and puts it in its own place."""

    def __init__(self: Any, *given: Any, **named: Any) -> None:  # noqa: N807 - it stands for that one
        cls.__init__ = _compiled_init(cls)
        cls.__init__(self, *given, **named)

    return __init__


def _compiled_init(cls: type[Any]) -> Any:
    """``__init__`` with a keyword for each field."""
    scope: dict[str, Any] = {"_put": object.__setattr__, "_missing": MISSING}
    given, body = [], []
    for f in fields(cls):
        if not f.init:
            continue
        scope[f"_default_{f.name}"], put = f.default, f.name
        if f.default_factory is not MISSING:
            scope[f"_make_{f.name}"] = f.default_factory
            put = f"_make_{f.name}() if {f.name} is _missing else {f.name}"
        optional = f.default is not MISSING or f.default_factory is not MISSING
        given.append(f"{f.name}=_default_{f.name}" if optional else f.name)
        body.append(f" _put(self, {f.name!r}, {put})")
    if hasattr(cls, "__post_init__"):
        body.append(" self.__post_init__()")
    star = ", *, " if given else ""
    text = f"def __init__(self{star}{', '.join(given)}):\n" + "\n".join(body or [" pass"])
    exec(text, scope)
    made = scope["__init__"]
    made.__qualname__ = f"{cls.__qualname__}.__init__"
    return made


def _values(one: Any) -> tuple[Any, ...]:
    return tuple(getattr(one, f.name) for f in fields(one))


def _refuse(self: Any, name: str, *_: Any) -> NoReturn:
    raise FrozenInstanceError(f"cannot change field {name!r}")


def _repr(self: Any) -> str:
    shown = ", ".join(f"{f.name}={getattr(self, f.name)!r}" for f in fields(self) if f.repr)
    return f"{type(self).__qualname__}({shown})"


def _state(self: Any) -> tuple[Any, ...]:
    return _values(self)


def _set_state(self: Any, state: tuple[Any, ...]) -> None:
    for f, held in zip(fields(self), state, strict=True):
        object.__setattr__(self, f.name, held)


def _equal(self: Any, other: object) -> Any:
    return _values(self) == _values(other) if type(other) is type(self) else NotImplemented


def _hash(self: Any) -> int:
    return hash(_values(self))
