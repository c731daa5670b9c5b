"""Write values, tables and whole projects as TOML text."""

from __future__ import annotations

import datetime
import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import fields
from numbers import Integral, Real
from typing import Any, cast

from cradle.errors import InputError
from cradle.project.convert import shown
from cradle.project.key import Kinds, Table
from cradle.project.project import TABLES, Project
from cradle.project.toml_positions import dotted


def toml_value(value: object) -> str:
    r"""A value as TOML writes it.

    Raises
    ------
    InputError
        If it is no finite number, text, bool, date, list or mapping of these.

    Examples
    --------
    >>> print(toml_value(["a \"b\"", 1.5, {"deep": True}]))
    ["a \"b\"", 1.5, { deep = true }]
    """
    match value:
        case bool():
            return str(value).lower()
        case str():
            return json.dumps(str(value), ensure_ascii=False).replace("\x7f", "\\u007f")
        case Integral():
            return str(int(value))
        case Real() if math.isfinite(value):
            return repr(float(value))
        case datetime.date() if not isinstance(value, datetime.datetime):
            return value.isoformat()
        case Mapping():
            pairs = ", ".join(f"{dotted((name,))} = {toml_value(entry)}" for name, entry in value.items())
            return f"{{ {pairs} }}" if pairs else "{}"
        case Sequence():
            return f"[{', '.join(map(toml_value, value))}]"
    raise InputError(f"expected a finite number, a text, true, false or a list, not {shown(value)}")


def table_lines(made: object, table: Table) -> list[str]:
    """The lines ``key = value`` of a spec; what is None, or empty as it is by itself, is left out."""
    left_out = {f.name: () if f.default == () else None for f in fields(cast("Any", made))}
    values = {name: (key.field, getattr(made, key.field)) for name, key in table.keys.items()}
    return [
        f"{name} = {toml_value(value)}"
        for name, (field, value) in values.items()
        if value is not None and value != left_out[field]
    ]


def project_to_text(project: Project) -> str:
    """The project as TOML text; reading it back gives an equal project."""
    lines: list[str] = []
    for name, top in TABLES.items():
        value = getattr(project, top.field)
        if isinstance(value, tuple):
            for made in value:
                lines += [f"[[{name}]]", *_entry_lines(name, made, top.table)]
        elif value is not None and isinstance(top.table, Table):
            lines += [f"[{name}]", *table_lines(value, top.table)]
    return "".join(f"{line}\n" for line in lines)


def _entry_lines(name: str, made: Any, table: Table | Kinds) -> list[str]:
    """The lines of one table out of many: its kind, or where its outline comes from, among them."""
    if isinstance(table, Kinds):
        kind = getattr(made, table.by)
        return [f"{table.by} = {toml_value(kind)}", *table_lines(made, table.tables[kind])]
    own = table_lines(made, table)
    if table.drawing is None:
        return own
    for inner, keys in table.sources.items():
        if isinstance(made.source, keys.makes):
            return [*own, f"[{name}.{inner}]", *table_lines(made.source, keys)]
    return [*own, *table_lines(made.source, table.drawing)]
