"""Lengths of the sections without a unit, where more like them all state one other than mm: it was likely forgotten."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from typing import Any, Final

from cradle.errors import UnitError
from cradle.project.mistake import Mistake
from cradle.project.toml_positions import KeyPath
from cradle.units import parse_length_mm, unit_stated

_READINGS: Final[tuple[KeyPath, ...]] = (
    *((name,) for name in ("width", "depth", "girth")),
    *(("measured", name) for name in ("width", "depth", "corner", "diagonal")),
)
_ALIKE: Final[tuple[tuple[str, tuple[KeyPath, ...], tuple[KeyPath, ...]], ...]] = (
    ("heights", (("height",),), (("object", "height"), ("block", "height"))),
    ("readings of sections", _READINGS, ()),
)
"""Lengths that people write in one unit: keys of every section that hold them, and others whose unit speaks for that."""

_WORDS: Final = {"in": "inches", "ft": "feet"}
_LONGEST: Final = 40
"""A longer text is no length."""
_MOST: Final = 1e6
"""No number is larger that is a length."""


def bare_lengths(data: Any) -> Iterator[Mistake]:
    """Mistakes of lengths without a unit, where more others of the same sort all state one and the same unit.

    Parameters
    ----------
    data : what TOML gives for the project; what of it is no table is passed over
    """
    sections = data.get("section") if isinstance(data, dict) else None
    count = len(sections) if isinstance(sections, list) else 0
    for what, of_each, others in _ALIKE:
        paths = [("section", number, *key) for number in range(count) for key in of_each]
        found = [(path, value) for path in paths if _is_length(value := _at(data, path))]
        bare = [(path, value) for path, value in found if not _unit(value)]
        beside = [value for path in others if _is_length(value := _at(data, path))]
        units = [unit for value in (*(value for _, value in found), *beside) if (unit := _unit(value))]
        if len(units) <= len(bare) or len(set(units)) != 1 or units[0] == "mm":
            continue
        unit, rest = units[0], "all other" if len(bare) == 1 else "most"
        for path, value in bare:
            yield Mistake(
                found=f"{value} has no unit, but {rest} {what} are in {_WORDS.get(unit, unit)}",
                hint=f'write "{value} {unit}", or "{value} mm"',
                at=path,
            )


def _unit(value: Any) -> str:
    """The unit that a length states; empty without one."""
    unit = unit_stated(value) if isinstance(value, str) else ""
    return "in" if unit == '"' else unit


def _at(inside: Any, path: KeyPath) -> Any:
    """What stands at a path; None where nothing does."""
    for step in path:
        if isinstance(step, int):
            inside = inside[step]
        else:
            inside = inside.get(step) if isinstance(inside, dict) else None
    return inside


def _is_length(value: Any) -> bool:
    """Whether a value is a length, and not 0, which is the same in any unit."""
    if isinstance(value, str) and len(value) <= _LONGEST:
        with suppress(UnitError):
            return parse_length_mm(value) != 0
    return isinstance(value, int | float) and not isinstance(value, bool) and 0 < value < _MOST
