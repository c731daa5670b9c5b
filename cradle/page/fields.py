"""Every key of a project as a labelled field, made from the declarations in `cradle.project`.

A field's label is its key in plain letters, its unit the ending of the spec's
field, its help what the declaration says, unless `field_words` has words of
its own. What a person types goes into the file as it is where it has a unit of
its own ("1 3/8 in"); else as a number.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from enum import StrEnum
from typing import Any, Final, get_args, get_type_hints

from cradle.errors import InputError
from cradle.noun import record
from cradle.page.field_words import CHOICES, LABELS, SAYS, UNITS
from cradle.project.convert import Choice
from cradle.project.key import Key, Kinds, Occurrence, Table
from cradle.project.materials import MATERIALS
from cradle.project.project import TABLES
from cradle.project.toml_positions import KeyPath

_UNITS: Final = {"_mm": "mm", "_deg": "°", "_g": "g", "_px": "px", "_percent": "%"}
_TITLES: Final = {
    "object": "The thing",
    "section": "Section",
    "side": "Side profiles",
    "view": "View from a side",
    "loft": "Between the sections",
    "fit": "Fit",
    "block": "Block",
    "plate": "Wall plate",
    "row": "Several side by side",
    "opening": "Opening",
    "test_pieces": "Test pieces",
    "printer": "Printer",
    "spread": "How far off readings may be",
    "measured": "Plain shape",
    "picture": "Picture",
}
_RARE: Final = frozenset({"loft", "spread"})
"""Tables that most projects leave as they are."""
_SUGGESTED: Final = {("printer", "material"): tuple(MATERIALS)}
"""Words that may be typed into a text's field among others."""
_NUMBER: Final = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?")
_BETWEEN: Final = re.compile(r"[,;\s]+")
_APART: Final = re.compile(r"[;\s]+")
_COMMA: Final = re.compile(
    r"^(?![+-]?[1-9]\d*,\d{3}\s*(?:mm|[uµ]m|p[txc]|g|°|deg)?$)([+-]?\d*),(\d+)(?=\s*[a-zµ\"°]*$)"
)
"""A comma that can be nothing but the decimal point; 1,234 may be thousands, where there can be so many: not of inches."""


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


def fields_of(name: str, table: Table) -> tuple[Field, ...]:
    """The fields of a table of that name, in the order of its keys; those of a drawing behind its own."""
    drawn = tuple(_fields(name, table.drawing)) if table.drawing is not None else ()
    return (*_fields(name, table), *drawn)


def schema() -> dict[str, object]:
    """All tables with their fields, as JSON data."""
    return {name: _described(name, top.table, top.occurrence) for name, top in TABLES.items()}


def value_of(path: KeyPath, typed: object) -> object:
    """What a file says for what was typed into the field at a path; None takes the key out.

    Parameters
    ----------
    path : KeyPath
        Such as ``("section", 0, "height")``.
    typed : object
        A text, or a list of texts where several may be chosen, or true or false.

    Raises
    ------
    InputError
        If there is no such field, or it is not filled in with one of these.

    Examples
    --------
    >>> value_of(("block", "wall"), "2.4"), value_of(("block", "wall"), "1/8 in"), value_of(("block", "wall"), " ")
    (2.4, '1/8 in', None)
    >>> value_of(("block", "wall"), "2,4")
    2.4
    """
    field = field_at(path)
    if isinstance(typed, bool):
        return typed
    if isinstance(typed, list) and field.kind in (FieldKind.CHOICES, FieldKind.FILES):
        return [str(word) for word in typed]
    if not isinstance(typed, str):
        raise InputError("expected a text", where=".".join(map(str, path)))
    text = typed.strip()
    if not text:
        return None
    if field.kind is FieldKind.NUMBER:
        return _number_or_text(_COMMA.sub(r"\1.\2", text))
    if field.kind is FieldKind.NUMBERS:
        inside = text.strip("[]() ")
        parts = [_COMMA.sub(r"\1.\2", part) for part in _APART.split(inside)]
        if len(parts) == 1 or not all(map(_NUMBER.fullmatch, parts)):  # then commas part them
            parts = [part for part in _BETWEEN.split(inside) if part]
        if text in field.words:
            return text
        return [_number_or_text(part) for part in parts]
    if field.kind is FieldKind.YES_NO:
        return text == "true"
    if field.kind is FieldKind.FILES:
        return [part.strip() for part in re.split(r"[,;\n]", text) if part.strip()]
    if field.kind is FieldKind.CHOICES:
        return [part for part in _BETWEEN.split(text) if part]
    return text


def field_at(path: KeyPath) -> Field:
    """The field of a key.

    Raises
    ------
    InputError
        If no table has it.
    """
    words = [step for step in path if isinstance(step, str)]
    top = TABLES.get(words[0]) if words else None
    tables: list[Table] = []
    if top is not None:
        tables = list(top.table.tables.values()) if isinstance(top.table, Kinds) else [top.table]
    if top is not None and isinstance(top.table, Kinds) and words[1:] == [top.table.by]:
        return _kind_field(top.table)
    for word in words[1:-1]:
        tables = [table.sources[word] for table in tables if word in table.sources]
    for table in tables:
        for field in fields_of(words[-2] if len(words) > 1 else words[0], table):
            if field.key == words[-1] and len(words) > 1:
                return field
    raise InputError("there is no such field", where=".".join(words))


def _described(name: str, table: Table | Kinds, occurrence: Occurrence) -> dict[str, object]:
    common: dict[str, object] = {
        "title": _TITLES.get(name, name.replace("_", " ")),
        "says": " ".join(table.says.split()),
        "occurrence": str(occurrence),
        "rare": name in _RARE,
    }
    if isinstance(table, Kinds):
        kinds = {
            kind: {"says": inner.says, "fields": [_plain(f) for f in fields_of(name, inner)]}
            for kind, inner in table.tables.items()
        }
        return common | {"by": table.by, "kinds": kinds, "fields": [_plain(_kind_field(table))]}
    inside = {
        word: {"title": _TITLES.get(word, word), "fields": [_plain(f) for f in fields_of(word, source)]}
        for word, source in table.sources.items()
    }
    return common | {"fields": [_plain(f) for f in fields_of(name, table)], "inside": inside}


def _plain(field: Field) -> dict[str, object]:
    return {
        "key": field.key,
        "label": field.label,
        "unit": field.unit,
        "says": field.says,
        "kind": str(field.kind),
        "words": list(field.words),
        "choices": dict(field.choices),
        "default": field.default,
        "required": field.required,
        "rare": field.rare,
    }


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
    """What a key means, without the words it takes: a form shows those itself."""
    return key.wanted.rstrip(":") if "{} (" in key.says else key.says.replace("{}", "").strip(" :,")


def _kind(key: Key, hint: Any) -> tuple[FieldKind, tuple[str, ...]]:
    """How a key's field is filled in, and the words it takes."""
    if isinstance(key.convert, Choice):
        return FieldKind.CHOICE, key.convert.words
    parts = [part for part in get_args(hint) if part is not type(None)] or [hint]
    words = tuple(str(word) for part in parts for word in get_args(part) if isinstance(word, str))
    plain = [part for part in parts if part in (str, int, float, bool)]
    lists = [part for part in (hint, *parts) if getattr(part, "__origin__", None) is tuple]
    of_files = "file_path" in getattr(key.convert, "__qualname__", "")
    if lists:
        inside = get_args(lists[0])[0]
        if isinstance(inside, type) and issubclass(inside, StrEnum):
            return FieldKind.CHOICES, tuple(map(str, inside))
        return (FieldKind.FILES if inside is str else FieldKind.NUMBERS), words
    if bool in plain:
        return FieldKind.YES_NO, ()
    if int in plain or float in plain:
        return FieldKind.NUMBER, words
    return (FieldKind.FILE if of_files else FieldKind.TEXT), words


def _as_written(default: object) -> object:
    if isinstance(default, tuple):
        return [_as_written(one) for one in default] or None
    return str(default) if isinstance(default, StrEnum) else default


def _number_or_text(text: str) -> object:
    if _NUMBER.fullmatch(text):
        number = float(text)
        return (
            int(number) if number.is_integer() and abs(number) < 1e15 and "e" not in text.lower() else number
        )
    return text


def shown_values(data: Mapping[str, object]) -> Mapping[str, object]:
    """A project's data as JSON takes them: dates as texts."""
    return {name: _shown(value) for name, value in data.items()}


def _shown(value: object) -> object:
    if isinstance(value, Mapping):
        return shown_values(value)
    if isinstance(value, list):
        return [_shown(one) for one in value]
    return value if isinstance(value, str | int | float | bool) else str(value)
