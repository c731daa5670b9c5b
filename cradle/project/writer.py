"""Write values and tables as TOML text."""

from __future__ import annotations

import datetime
import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import fields
from numbers import Integral, Real
from typing import Any, cast

from cradle.errors import InputError
from cradle.project.key import Table
from cradle.project.mistake import shown
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
    """The lines ``key = value`` of a spec, without those that are None, or empty by default."""
    left_out = {f.name: () if f.default == () else None for f in fields(cast("Any", made))}
    values = {name: (key.field, getattr(made, key.field)) for name, key in table.keys.items()}
    return [
        f"{name} = {toml_value(value)}"
        for name, (field, value) in values.items()
        if value is not None and value != left_out[field]
    ]
