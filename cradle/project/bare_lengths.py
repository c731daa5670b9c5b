"""Lengths of the sections without a unit, where more like them all state one other than mm: it was likely forgotten."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from typing import Any, Final

from cradle.errors import UnitError
from cradle.project.mistake import Mistake
from cradle.project.toml_positions import KeyPath
from cradle.units import parse_length_mm, unit_stated

_ALIKE: Final[tuple[tuple[str, tuple[KeyPath, ...]], ...]] = (
    ("heights", (("height",),)),
    (
        "readings",
        (
            *((name,) for name in ("width", "depth", "girth")),
            *(("measured", name) for name in ("width", "depth", "corner", "diagonal")),
        ),
    ),
)
"""Lengths that people write in one unit, and the keys of a section that hold them."""

_WORDS: Final = {"in": "inches", "ft": "feet"}
_LONGEST: Final = 40
"""A longer text is no length."""
_MOST: Final = 1e6
"""No number is larger that is a length."""


def bare_lengths(data: Any) -> Iterator[Mistake]:
    """Lengths of a project's sections, as its file has them, that lack the unit that more others like them all state.

    Parameters
    ----------
    data : what TOML gives for the project; what of it is no section is passed over
    """
    sections = data.get("section") if isinstance(data, dict) else None
    for what, keys in _ALIKE:
        found = [
            (("section", number, *key), value)
            for number, section in enumerate(sections if isinstance(sections, list) else [])
            for key in keys
            if _is_length(value := _at(section, key))
        ]
        bare = [(path, value) for path, value in found if not _unit(value)]
        units = [unit for _, value in found if (unit := _unit(value))]
        if len(units) <= len(bare) or len(set(units)) != 1 or units[0] == "mm":
            continue
        unit, others = units[0], "all other" if len(bare) == 1 else "most"
        for path, value in bare:
            yield Mistake(
                found=f"{value} has no unit, but {others} {what} of sections are in {_WORDS.get(unit, unit)}",
                hint=f'write "{value} {unit}", or "{value} mm"',
                at=path,
            )


def _unit(value: Any) -> str:
    """The unit that a length states; empty without one."""
    unit = unit_stated(value) if isinstance(value, str) else ""
    return "in" if unit == '"' else unit


def _at(section: Any, key: KeyPath) -> Any:
    for name in key:
        section = section.get(name) if isinstance(section, dict) else None
    return section


def _is_length(value: Any) -> bool:
    """Whether it is a length other than 0, which is the same in any unit."""
    if isinstance(value, str) and len(value) <= _LONGEST:
        with suppress(UnitError):
            return parse_length_mm(value) != 0
    return isinstance(value, int | float) and not isinstance(value, bool) and 0 < value < _MOST
