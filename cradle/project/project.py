"""A whole project: its tables, what must hold between them, and the files it names."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import field
from itertools import pairwise
from operator import itemgetter
from pathlib import Path
from typing import Final

from cradle.files.reading import real_path
from cradle.names import section_words
from cradle.project.block import BLOCK, PLATE, PLATE_EXAMPLES, BlockSpec, PlateSpec, check_plate_on_block
from cradle.project.fit import FIT, SPREAD, FitSpec, SpreadSpec
from cradle.project.key import Example, Key, Kinds, Occurrence, Table, TopLevelTable, Values, spec
from cradle.project.left_out import all_heights_mm
from cradle.project.mistake import Mistake, amount
from cradle.project.opening import MOST_OPENINGS, OPENING_EXAMPLES, OPENINGS, OpeningSpec
from cradle.project.picture import PictureSource
from cradle.project.printer import PRINTER, TEST_PIECES, PieceSpec, PrinterSpec
from cradle.project.row import ROW, ROW_EXAMPLES, RowSpec, check_openings_in_row
from cradle.project.section import LOFT, SECTION, SECTION_EXAMPLES, DrawingSource, LoftSpec, SectionSpec
from cradle.project.thing import OBJECT, ObjectSpec
from cradle.project.view import SIDE, VIEW, VIEW_EXAMPLES, SideSpec, ViewSpec
from cradle.tolerances import TOLERANCES
from cradle.units import MM_PER_INCH

_MOST_SECTIONS: Final = 200
"""Each costs the placing of all some tenths of a second, and room for how it hangs together with every other."""
_MOST_VIEWS: Final = 12
"""A few from each side."""
_NUMBER: Final = itemgetter("number")
TRIALS_FILE: Final = "trials.toml"
"""Beside the project file: what was tried on the thing and what was seen."""


@spec
class Project:
    """Everything a project file says.

    Lengths in mm, angles in degrees, masses in g. Vectors are in the thing's
    frame: x to the right, y away from the viewer, z up from the plane the thing
    rests on. ``sections`` run from bottom to top, however they stand in ``file``,
    the file it was read from: relative paths start at its folder.
    """

    file: Path
    sections: tuple[SectionSpec, ...]
    thing: ObjectSpec = field(default=ObjectSpec())
    side: SideSpec = field(default=SideSpec())
    views: tuple[ViewSpec, ...] = ()
    loft: LoftSpec = field(default=LoftSpec())
    fit: FitSpec = field(default=FitSpec())
    block: BlockSpec = field(default=BlockSpec())
    plate: PlateSpec | None = None
    row: RowSpec = field(default=RowSpec())
    openings: tuple[OpeningSpec, ...] = ()
    test_pieces: PieceSpec = field(default=PieceSpec())
    printer: PrinterSpec = field(default=PrinterSpec())
    spread: SpreadSpec = field(default=SpreadSpec())

    @property
    def folder(self) -> Path:
        """Folder that relative paths start from."""
        return self.file.parent

    @property
    def added_in_file_mm(self) -> float:
        """What a holder's file gets on each side beside the clearance and what trials taught."""
        return self.printer.inside_error_mm + self.fit.lining_mm

    @property
    def chance_of_each(self) -> float:
        """The chance of fit to aim for with each different thing of a row, so that all of them fit with the chance asked for.

        Things that fit independently of one another; they share the printer's
        error, so that the chance of all is not less.
        """
        others = {real_path(self.folder / path) for path in self.row.things}
        return float(self.fit.chance ** (1 / (1 + len(others))))

    @property
    def slug(self) -> str:
        """The thing's name made fit for file names: lower case, words joined by hyphens."""
        words = "".join(c if c.isalnum() else " " for c in self.thing.name.lower()).split()
        return "-".join(words) or "thing"


def _many(
    field: str, table: Table | Kinds, *examples: Example, most: int, rising: Key | None = None
) -> TopLevelTable:
    return TopLevelTable(
        field=field, table=table, occurrence=Occurrence.MANY, most=most, rising=rising, examples=examples
    )


TABLES: Final[Mapping[str, TopLevelTable]] = {
    "object": TopLevelTable(field="thing", table=OBJECT),
    "section": _many(
        "sections", SECTION, *SECTION_EXAMPLES, most=_MOST_SECTIONS, rising=SECTION.keys["height"]
    ),
    "side": TopLevelTable(field="side", table=SIDE),
    "view": _many("views", VIEW, *VIEW_EXAMPLES, most=_MOST_VIEWS),
    "loft": TopLevelTable(field="loft", table=LOFT),
    "fit": TopLevelTable(field="fit", table=FIT),
    "block": TopLevelTable(field="block", table=BLOCK),
    "plate": TopLevelTable(
        field="plate", table=PLATE, occurrence=Occurrence.AT_MOST_ONCE, examples=PLATE_EXAMPLES
    ),
    "row": TopLevelTable(field="row", table=ROW, examples=ROW_EXAMPLES),
    "opening": _many("openings", OPENINGS, *OPENING_EXAMPLES, most=MOST_OPENINGS),
    "test_pieces": TopLevelTable(field="test_pieces", table=TEST_PIECES),
    "printer": TopLevelTable(field="printer", table=PRINTER),
    "spread": TopLevelTable(field="spread", table=SPREAD),
}


def tables() -> Iterator[tuple[str, Table]]:
    """Every TOML table with its dotted name; of a table of several kinds, each kind."""
    for name, top in TABLES.items():
        if isinstance(top.table, Kinds):
            yield from ((name, table) for table in top.table.tables.values())
            continue
        yield name, top.table
        for source, table in top.table.sources.items():
            yield f"{name}.{source}", table


def source_files(project: Project) -> tuple[Path, ...]:
    """Paths of a project's file, its drawings, pictures, views, side profiles, its trials; they need not exist."""
    names: list[str | None] = []
    for source in (*(s.source for s in project.sections), *(v.source for v in project.views)):
        if isinstance(source, DrawingSource):
            names.append(source.path)
        elif isinstance(source, PictureSource):
            names += [source.file, source.back_file]
    side = project.side
    names += [side.front, side.back, side.left, side.right, TRIALS_FILE]
    return (project.file, *(project.folder / name for name in names if name is not None))


def check_project(parts: Values) -> Iterator[Mistake]:
    """What contradicts itself between tables; ``parts`` holds the values of each table by field."""
    sections: Sequence[Values] | None = parts.get("sections")
    block = parts.get("block", {})
    if sections is not None:
        yield from _number_of_sections(sections)
        yield from _heights(sections, thing=parts.get("thing", {}))
        yield from _block_height(sections, block=block)
        yield from _names(sections)
        yield from _piece_heights(sections, pieces=parts.get("test_pieces", {}))
    yield from check_plate_on_block(block, parts.get("plate"))
    yield from check_openings_in_row(parts["row"], parts.get("openings", ()))


def _number_of_sections(sections: Sequence[Values]) -> Iterator[Mistake]:
    if not sections:
        yield Mistake(
            found="no section found, at least 2 are needed",
            hint="describe each section in a table [[section]]",
            at=("section",),
        )
    if len(sections) == 1:
        yield Mistake(
            found="only 1 section found, at least 2 are needed",
            hint="for a straight thing repeat the section at a second height",
            at=("section", 0),
        )


def _heights(sections: Sequence[Values], *, thing: Values) -> Iterator[Mistake]:
    known, overall = [section for section in sections if "height_mm" in section], thing.get("height_mm")
    if overall is not None:
        yield from _above_top([s for s in known if s["height_mm"] > overall], overall_mm=overall)
    for pair in pairwise(known):
        first, second = sorted(pair, key=_NUMBER)
        height, there = second["height_mm"], first["height_mm"]
        if abs(height - there) >= TOLERANCES.section_mm:
            continue
        name = section_words(first["name"]) if "name" in first else f"section[{first['number'] + 1}]"
        least = amount(TOLERANCES.section_mm, "mm")
        yield Mistake(
            found=f"{name} has the same height, {amount(height, 'mm')}"
            if height == there
            else f"{amount(height, 'mm')} is less than {least} from {name} ({amount(there, 'mm')})",
            hint="measure sections at different heights, or leave one of the two out; a height that is not in mm needs its unit",
            at=("section", second["number"], "height"),
        )


def _above_top(higher: Sequence[Values], *, overall_mm: float) -> Iterator[Mistake]:
    """Mistakes of sections above the thing's overall height; where several are, that height is rather the mistake."""
    if len(higher) == 1:
        yield Mistake(
            found=f"{amount(higher[0]['height_mm'], 'mm')} is above the thing's overall height, {amount(overall_mm, 'mm')}",
            hint="measure one of the two again",
            at=("section", higher[0]["number"], "height"),
        )
    elif higher:
        highest_mm = max(section["height_mm"] for section in higher)
        fits = next(
            (unit for unit, mm in (("cm", 10.0), ("in", MM_PER_INCH)) if overall_mm * mm >= highest_mm), None
        )
        yield Mistake(
            found=f"found {amount(overall_mm, 'mm')}, but {len(higher)} sections lie higher, up to {amount(highest_mm, 'mm')}",
            hint="measure the thing's overall height again"
            + ("" if fits is None else f'; or give its unit, such as "{overall_mm:g} {fits}"'),
            at=("object", "height"),
        )


def _block_height(sections: Sequence[Values], *, block: Values) -> Iterator[Mistake]:
    lowest = min(all_heights_mm(sections), default=None)
    reach = block.get("height_mm")
    if lowest is not None and reach is not None and reach <= lowest:
        yield Mistake(
            found=f"the block ends at {amount(reach, 'mm')}, not above the lowest section ({amount(lowest, 'mm')})",
            hint="make it higher, or measure a section lower down: both heights count from the resting plane",
            at=("block", "height"),
        )


def _piece_heights(sections: Sequence[Values], *, pieces: Values) -> Iterator[Mistake]:
    highest = max(all_heights_mm(sections), default=None)
    for height in pieces.get("heights_mm", ()):
        if highest is not None and height > highest:
            yield Mistake(
                found=f"a piece at {amount(height, 'mm')} lies above the highest section ({amount(highest, 'mm')})",
                hint="choose a height below it, or measure a section higher up",
                at=("test_pieces", "heights"),
            )


def _names(sections: Sequence[Values]) -> Iterator[Mistake]:
    seen: dict[str, int] = {}
    for section in sorted(sections, key=_NUMBER):
        name, number = section.get("name"), section["number"]
        if name is None:
            continue
        if name in seen:
            yield Mistake(
                found=f"{name[:60]!r} is the name of section[{seen[name] + 1}] already",
                hint="give each section its own name",
                at=("section", number, "name"),
            )
        seen.setdefault(name, number)
