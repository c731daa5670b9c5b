"""Every key of a project as a labelled field, made from the declarations in `cradle.project`.

A field's label is its key in plain letters, its unit the ending of the spec's
field, its help what the declaration says, unless `field_words` has words of
its own.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict
from enum import StrEnum
from typing import Any, Final, get_args, get_origin, get_type_hints

from cradle.errors import InputError
from cradle.noun import record
from cradle.page.field_words import CHOICES, LABELS, SAYS, TITLES, UNITS
from cradle.project.convert import Choice, FilePath
from cradle.project.key import Key, Kinds, Table
from cradle.project.materials import MATERIALS
from cradle.project.project import TABLES
from cradle.project.toml_positions import KeyPath

_UNITS: Final = {"_mm": "mm", "_deg": "°", "_g": "g", "_px": "px", "_percent": "%"}
_RARE: Final = frozenset({"loft", "spread"})
"""Tables that most projects leave as they are."""
_IN_FORM: Final = {
    **dict.fromkeys((", in mm", ", in degrees", ", in percent", '"'), ""),
    "left out:": "empty:",
    "leave it out": "leave it empty",
    "tip_angle": "the tip angle",
}
"""What declarations say of keys in a file, and what that is called of fields in a form."""
_SUGGESTED: Final = {("printer", "material"): tuple(MATERIALS)}
"""Words that may be typed into a text's field among others."""


class FieldKind(StrEnum):
    """How a field is filled in."""

    NUMBER = "number"
    """A number, a text with a unit, or one of the field's words."""
    NUMBERS = "numbers"
    TEXT = "text"
    CHOICE = "choice"
    CHOICES = "choices"
    """Any of the words."""
    YES_NO = "yes_no"
    FILE = "file"
    FILES = "files"


@record
class Field:
    """One key as a form shows it.

    Attributes
    ----------
    words : tuple of str
        Those that may be chosen, or typed in place of a number or a text.
    choices : mapping of str to str
        What people read in place of some of the words.
    default : object
        What holds where the key is left out, as a file writes it; None where nothing does.
    required, rare : bool
        Whether it must be given; whether it is folded away at first.
    """

    key: str
    label: str
    unit: str
    says: str
    kind: FieldKind
    words: tuple[str, ...]
    choices: Mapping[str, str]
    default: object
    required: bool
    rare: bool


def _fields_of(name: str, table: Table) -> tuple[Field, ...]:
    """The fields of a table of that name, in the order of its keys; those of a drawing behind its own."""
    drawn = tuple(_fields(name, table.drawing)) if table.drawing is not None else ()
    return (*_fields(name, table), *drawn)


def schema() -> dict[str, object]:
    """All tables with their fields, as JSON data."""
    return {name: _described(name, top.table) for name, top in TABLES.items()}


def field_at(path: KeyPath) -> Field:
    """The field of a key.

    Raises
    ------
    InputError
        If no table has it.
    """
    words = [step for step in path if isinstance(step, str)]
    for field in _fields_inside(words[:-1]):
        if field.key == words[-1]:
            return field
    raise InputError("there is no such field", where=".".join(words))


def _fields_inside(names: Sequence[str]) -> Iterator[Field]:
    """The fields of the table that these names lead to, of all its kinds if it has kinds; none if there is no such table."""
    if not names or names[0] not in TABLES:
        return
    top = TABLES[names[0]].table
    tables = list(top.tables.values()) if isinstance(top, Kinds) else [top]
    for name in names[1:]:
        tables = [table.sources[name] for table in tables if name in table.sources]
    if isinstance(top, Kinds) and len(names) == 1:
        yield _kind_field(top)
    for table in tables:
        yield from _fields_of(names[-1], table)


def _described(name: str, table: Table | Kinds) -> dict[str, object]:
    common: dict[str, object] = {
        "title": TITLES.get(name, name.replace("_", " ")),
        "says": " ".join(table.says.split()),
        "rare": name in _RARE,
    }
    if isinstance(table, Kinds):
        kinds = {
            kind: {"says": inner.says, "fields": [asdict(f) for f in _fields_of(name, inner)]}
            for kind, inner in table.tables.items()
        }
        return common | {"by": table.by, "kinds": kinds, "fields": [asdict(_kind_field(table))]}
    inside = {
        word: {"title": TITLES.get(word, word), "fields": [asdict(f) for f in _fields_of(word, source)]}
        for word, source in table.sources.items()
    }
    return common | {"fields": [asdict(f) for f in _fields_of(name, table)], "inside": inside}


def _kind_field(kinds: Kinds) -> Field:
    return Field(
        key=kinds.by,
        label=kinds.by,
        unit="",
        says="",
        kind=FieldKind.CHOICE,
        words=tuple(map(str, kinds.tables)),
        choices={},
        default=None,
        required=True,
        rare=False,
    )


def _fields(name: str, table: Table) -> Iterator[Field]:
    hints = get_type_hints(table.makes)
    defaults = table.defaults()
    for key in table.keys.values():
        whole = key.field if key.field != key.name else ""  # mm_per_px is no number of pixels
        unit = next((shown for end, shown in _UNITS.items() if whole.endswith(end)), "")
        kind, words = _kind(key, hints[key.field])
        at = (name, key.name)
        yield Field(
            key=key.name,
            label=LABELS.get(at, key.name.replace("_", " ")),
            unit=UNITS.get(at, unit),
            says=SAYS.get(at, _said(key)),
            kind=kind,
            words=words or _SUGGESTED.get(at, ()),
            choices={word: said for word, said in CHOICES.get(at, {}).items() if word in words},
            default=_as_written(defaults.get(key.field)),
            required=key.required,
            rare=not key.live,
        )


def _said(key: Key) -> str:
    """What a key means, without the words it takes and its unit: a form shows those itself."""
    says = key.wanted.rstrip(":") if "{} (" in key.says else key.says.replace("{}", "").strip(" :,")
    for in_file, in_form in _IN_FORM.items():
        says = says.replace(in_file, in_form)
    return says


def _kind(key: Key, hint: Any) -> tuple[FieldKind, tuple[str, ...]]:
    """How a key's field is filled in, and the words it takes."""
    if isinstance(key.convert, Choice):
        return FieldKind.CHOICE, key.convert.words
    parts = [part for part in get_args(hint) if part is not type(None)] or [hint]
    words = tuple(str(word) for part in parts for word in get_args(part) if isinstance(word, str))
    lists = [part for part in (hint, *parts) if get_origin(part) is tuple]
    if lists:
        inside = get_args(lists[0])[0]
        if isinstance(inside, type) and issubclass(inside, StrEnum):
            return FieldKind.CHOICES, tuple(map(str, inside))
        return (FieldKind.FILES if inside is str else FieldKind.NUMBERS), words
    if bool in parts:
        return FieldKind.YES_NO, ()
    if int in parts or float in parts:
        return FieldKind.NUMBER, words
    return (FieldKind.FILE if isinstance(key.convert, FilePath) else FieldKind.TEXT), words


def _as_written(default: object) -> object:
    if isinstance(default, tuple):
        return [_as_written(one) for one in default] or None
    return str(default) if isinstance(default, StrEnum) else default
