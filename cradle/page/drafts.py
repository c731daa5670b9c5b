"""What can be used already of a project that still has mistakes: each section, view and profile by itself."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, TypeVar

from cradle.errors import Problem
from cradle.names import section_words
from cradle.noun import record
from cradle.project.fit import SpreadSpec
from cradle.project.project import TABLES
from cradle.project.reader import parsed
from cradle.project.section import LoftSpec, SectionSpec, outline_place
from cradle.project.table_reader import TableReader
from cradle.project.view import SideSpec, ViewSpec

_Spec = TypeVar("_Spec")


@record
class DraftSection:
    """One section as far as it is known.

    Attributes
    ----------
    number : int
        Its place in the file, from 0.
    spec : SectionSpec or None
        None where something in it is mistaken or missing, other than its height.
    has_height : bool
        Whether the spec's height is its own; else it is 0.
    places : tuple of str
        What messages about it name as their place: itself, and where its outline comes from.
    """

    number: int
    name: str
    spec: SectionSpec | None
    has_height: bool
    problems: tuple[Problem, ...]
    places: tuple[str, ...]


@record
class Draft:
    """What can be used of a project; ``views`` are by their number in the file."""

    sections: tuple[DraftSection, ...]
    views: Mapping[int, ViewSpec]
    side: SideSpec
    loft: LoftSpec
    spread: SpreadSpec

    @property
    def places(self) -> dict[str, int]:
        """The number in the file, from 1, of the section that a message with each place is about; of several, the first."""
        from_last = sorted(self.sections, key=lambda section: section.number, reverse=True)
        return {place: section.number + 1 for section in from_last for place in section.places}


def draft_of(text: str, *, file: Path) -> Draft:
    """The usable parts of a project's text, its sections from bottom to top; those without a height come last.

    Raises
    ------
    ProjectError
        If it is no TOML.
    """
    data, places = parsed(text, file=file)
    reader = TableReader(places, file=file)
    values = reader.drafts(data, TABLES)
    sections = tuple(_section(entry, reader) for entry in values.get("sections") or [])
    views = {
        n: ViewSpec(**entry)
        for n, entry in enumerate(values.get("views") or [])
        if not _of(reader, f"view[{n + 1}]")
    }
    return Draft(
        sections=sections,
        views=views,
        side=_table(reader, values, "side", SideSpec),
        loft=_table(reader, values, "loft", LoftSpec),
        spread=_table(reader, values, "spread", SpreadSpec),
    )


def _section(values: Mapping[str, Any], reader: TableReader) -> DraftSection:
    number: int = values["number"]
    where = f"section[{number + 1}]"
    problems = _of(reader, where)
    grave = [p for p in problems if p.where != f"{where}.height"]
    known = {**values, "height_mm": values.get("height_mm", 0.0)}
    name = str(values.get("name", f"section {number + 1}"))
    source = values.get("source")
    return DraftSection(
        number=number,
        name=name,
        spec=None if grave else SectionSpec(**known),
        has_height="height_mm" in values,
        problems=problems,
        places=(section_words(name), *(() if source is None else [outline_place(source, name=name)])),
    )


def _of(reader: TableReader, where: str) -> tuple[Problem, ...]:
    """The problems of one table and what is inside it."""
    return tuple(
        p for p in reader.problems if p.where == where or p.where.startswith((f"{where}.", f"{where}["))
    )


def _table(reader: TableReader, values: Mapping[str, Any], name: str, makes: type[_Spec]) -> _Spec:
    return makes() if _of(reader, name) else makes(**values[name])
