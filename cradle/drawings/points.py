"""Outlines and side profiles from tables of points: CSV with comma, semicolon or tab, one point a line.

A heading is optional. It may state the unit (``x_mm,y_mm`` or ``x [in], y [in]``)
and the order of the columns; of more than two it names those that count. Without it a third
number is passed over where it is the same for all: the outline's height. Before it ``sep=;`` may stand, which names the
separator, and titles, lines of one column. With semicolons or tabs a comma is a decimal comma. What follows ``#`` is a remark.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from cradle.drawings.bounds import MOST_POINTS
from cradle.drawings.curves import Drawing, Ends
from cradle.drawings.drawing_file import TABLE, points_text
from cradle.drawings.file_unit import unit_factor
from cradle.drawings.flatten import check_span
from cradle.drawings.point_list import check_count, curve_of_points, in_level
from cradle.errors import CaptureError, located
from cradle.geometry.arrays import Floats
from cradle.names import listed, printable
from cradle.noun import noun, record
from cradle.units import MM_PER

_SECOND_FIRST = {("y", "x"), ("depth", "width")}
_POLAR = {"angle", "theta", "phi", "radius", "r"}
"""Headings of a table that was read round a middle."""
_FEWEST = 3
"""So few points seldom are an outline."""
_HARDLY_LONGER = 1.5
"""A closing step that is longer than others by this factor closes nothing (our own choice)."""
_LISTED = 2
"""Outlines of which the lines are told."""
_HEIGHT = ("height", "z", "h", "höhe")
_WRITTEN = r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?"
_NUMBER = re.compile(_WRITTEN)
_SIGNS = {";": "a semicolon", "\t": "a tab"}
_PLAIN_ROW = re.compile(rf"[ ]*({_WRITTEN})[ ]*,[ ]*({_WRITTEN})[ ]*")
_HEADING = re.compile(r"(?P<name>[^\W\d_]+)(?:[ _]*(?:in +)?[\[(]?(?P<unit>mm|cm|m|um|µm|in|ft)[\])]?)?")
_SAID = re.compile(r'"?sep=([,;\t])"?', re.IGNORECASE)
"""A first line by which spreadsheets tell each other the separator of the columns (common practice, no source)."""
_WORD = re.compile(r"[^\W\d_]")
_NO_NUMBERS = ("nan", "inf", "infinity")
"""What programs write where there is no number."""
_LONGEST_ROW = 2000
_BLANK = 4
"""Most lines for each point; the others are blank or remarks."""


@record
class WantedColumns:
    """Which two of many columns count.

    Attributes
    ----------
    names : tuple of (str, str)
        Pairs of headings, one of which must be there.
    words, heading : str
        The names in words, and in a first line; for messages.
    level : bool
        Whether the third of three columns without headings is the height, which must be the same for all points. Not for
        a side: its columns may be a row's number, the height, and a y that is the same for all.
    """

    names: tuple[tuple[str, str], ...]
    words: str
    heading: str
    level: bool

    @property
    def pair(self) -> str:
        """The two columns as a row of a file, for messages."""
        return ",".join(self.names[0])

    @property
    def hint(self) -> str:
        """How to name columns."""
        return f"name the columns in a first line, such as {self.heading}; others are passed over"


PLAN = WantedColumns(names=(("x", "y"), ("width", "depth")), words="x and y", heading="x,y,z", level=True)
_SIDE = WantedColumns(
    names=tuple((height, along) for height in _HEIGHT for along in ("y", "depth", "x", "width")),
    words="height and y",
    heading="height,y,x",
    level=False,
)


def read_points(path: Path, *, where: str, unit: str | None = None) -> Drawing:
    """The points of a CSV file as one curve, x and y in mm.

    Raises
    ------
    CaptureError
        With the line of what cannot be read.
    """
    table = read_table(path, where=where, wanted=PLAN)
    if table.names is not None and _POLAR & {*table.names}:
        raise CaptureError(
            f"the columns are {' and '.join(map(_quoted, table.names))}, an outline needs x and y",
            where=where,
            hint="reckon them from an angle and a radius: x = radius × cos(angle), y = radius × sin(angle)",
        )
    if table.names is not None and table.names[0] in _HEIGHT:
        raise CaptureError(
            f"the columns are {' and '.join(map(_quoted, table.names))}, an outline needs x and y",
            where=where,
            hint="a side profile belongs under [side]; of an outline seen from a side name first what runs across, such as x,z",
        )
    points = table.values[:, ::-1] if table.names in _SECOND_FIRST else table.values
    _check_one_outline(points, lines=table.lines, where=where)
    factor, findings = unit_factor(table.unit, given=unit, where=where)
    return Drawing(
        curves=(curve_of_points(points * factor, ends=Ends.UNSAID, where=where),),
        findings=findings,
    )


def _check_one_outline(points: Floats, *, lines: tuple[int, ...], where: str) -> None:
    """Raise where blank lines or remarks part the points into outlines that each come back to where they began."""
    parted = np.flatnonzero(np.diff(lines) > 1) + 1
    parts, rows = np.split(points, parted), np.split(np.array(lines), parted)
    if len(parts) > 1 and all(map(_comes_back, parts)):
        told = listed([f"lines {its[0]} to {its[-1]}" for its in rows[:_LISTED]])
        more = " ..." if len(rows) > _LISTED else ""
        raise CaptureError(
            f"found {len(parts)} outlines one behind another ({told}{more}), one expected",
            where=where,
            hint="put each into a file of its own",
        )


def _comes_back(points: Floats) -> bool:
    """Whether the step from the last point to the first is hardly longer than those between neighbours."""
    steps = np.hypot(*np.diff(points, axis=0, append=points[:1]).T)
    return len(points) > _FEWEST and bool(steps[-1] <= _HARDLY_LONGER * steps[:-1].max())


def read_heights(path: Path, *, where: str) -> tuple[Floats, tuple[int, ...]]:
    """``(m, 2)`` heights and coordinates of a CSV file in mm, and their lines.

    Raises
    ------
    CaptureError
        With the line of what cannot be read.
    """
    table = read_table(path, where=where, wanted=_SIDE)
    values = table.values * MM_PER[table.unit or "mm"]
    if table.names is not None and table.names[1] in _HEIGHT and table.names[0] not in _HEIGHT:
        values = values[:, ::-1]
    with located(where):
        check_span(values)
    return values, table.lines


@record
class _Columns:
    """How the rows of a file are written: how many numbers each has, which of them count, what stands between them, what is wanted of them."""

    count: int
    kept: tuple[int, ...]
    separator: str
    wanted: WantedColumns


@noun
class CsvColumns:
    """Two columns of numbers.

    Attributes
    ----------
    values : (n, 2) float64
        As written, in the file's unit.
    lines : tuple of int
        Line of each row, counted from 1.
    names : (str, str) or None
        The headings without their units, in lower case.
    unit : str or None
        The unit that the headings state.
    """

    values: Floats
    lines: tuple[int, ...]
    names: tuple[str, str] | None
    unit: str | None


def read_table(path: Path, *, where: str, wanted: WantedColumns) -> CsvColumns:
    """The two columns of a CSV file that count.

    Raises
    ------
    CaptureError
        With the line of what cannot be read.
    """
    rows, separator = _rows(points_text(path, where=where, kind=TABLE), wanted=wanted, where=where)
    first = _cells(rows[0][1], separator=separator)
    while len(first) == 1 and _is_title(first[0]) and len(rows) > 1:
        rows = rows[1:]
        first = _cells(rows[0][1], separator=separator)
    names, unit, places = None, None, None
    if _is_heading(first):
        names, unit, places = _heading(first, wanted=wanted, where=f"{where}: line {rows[0][0]}")
        rows = rows[1:]
    if not rows:
        raise CaptureError(
            "the file holds a heading but no points", where=where, hint="write one point a line"
        )
    values = _plain(rows, separator=separator) if len(first) == 2 else None
    if values is None:
        level = places is None and len(first) == 3 and wanted.level
        columns = _Columns(
            count=len(first) if level or places else 2,
            kept=places or ((0, 1, 2) if level else (0, 1)),
            separator=separator,
            wanted=wanted,
        )
        values = _read(rows, columns, where=where)
    return CsvColumns(values=values, lines=tuple(n for n, _ in rows), names=names, unit=unit)


def _rows(text: str, *, wanted: WantedColumns, where: str) -> tuple[list[tuple[int, str]], str]:
    """The lines that hold something, without remarks, each with its number; and the separator of their columns."""
    lines = max(text.count("\n"), text.count("\r"))
    if lines > _BLANK * MOST_POINTS:  # before they are looked at
        raise CaptureError(
            f"the file has {lines} lines, up to {_BLANK * MOST_POINTS} are read",
            where=where,
            hint="leave out blank lines and remarks, and thin the points out",
        )
    rows = [
        (number, row)
        for number, line in enumerate(text.splitlines(), start=1)
        if (row := line.partition("#")[0].strip(" \r\n")).strip()
    ]
    check_count(len(rows), where=where)
    for number, row in rows:
        if len(row) > _LONGEST_ROW:
            raise CaptureError(
                f"line {number} has {len(row)} letters",
                where=where,
                hint=f"write one point a line: {wanted.pair}",
            )
    said = _SAID.fullmatch(rows[0][1]) if rows else None
    rows = rows[1:] if said else rows
    if not rows:
        raise CaptureError(
            "the file holds no points", where=where, hint=f"write one point a line: {wanted.pair}"
        )
    if said:
        return rows, said[1]
    return rows, next((mark for mark in (";", "\t") if any(mark in row for _, row in rows)), ",")


def _is_heading(cells: Sequence[str]) -> bool:
    """Whether a first row names columns: a word stands in it that is no number."""
    return any(_WORD.match(cell) and cell.lower() not in _NO_NUMBERS for cell in cells)


def _is_title(cell: str) -> bool:
    """Whether what stands alone in a row is words rather than numbers."""
    return _WORD.search(cell) is not None and cell.lower() not in _NO_NUMBERS and not _NUMBER.fullmatch(cell)


def _plain(rows: Sequence[tuple[int, str]], *, separator: str) -> Floats | None:
    """The points of rows that are all two plain numbers, ``(n, 2)``; None where any row is something else."""
    values = np.empty((len(rows), 2))
    for place, (_, row) in enumerate(rows):
        written = row if separator == "," else row.replace(",", ".").replace(separator, ",")
        match = _PLAIN_ROW.fullmatch(written)
        if match is None:
            return None
        values[place] = float(match[1]), float(match[2])
    return values if np.isfinite(values).all() else None


def _cells(row: str, *, separator: str) -> list[str]:
    cells = [cell.strip().strip('"').strip() for cell in row.split(separator)]
    while len(cells) > 2 and not cells[-1]:
        cells.pop()
    return cells


def _heading(
    cells: list[str], *, wanted: WantedColumns, where: str
) -> tuple[tuple[str, str], str | None, tuple[int, int]]:
    """Names of the columns that count, the unit they state, and which they are."""
    found = [_HEADING.fullmatch(cell.lower()) for cell in cells]
    places = (0, 1) if len(cells) == 2 else _places([m and m["name"] for m in found], wanted=wanted)
    if places is None:
        raise CaptureError(
            f"of {len(cells)} columns none is named {wanted.words}, or more than one",
            where=where,
            hint=wanted.hint,
        )
    names, units = [], []
    for place in places:
        match = found[place]
        if match is None:
            raise CaptureError(
                f"the heading {_quoted(cells[place])} is not understood",
                where=where,
                hint=f"write {wanted.pair}, or with a unit such as mm or in after each name, as in {wanted.names[0][0]}_mm",
            )
        names.append(match["name"])
        units.append(match["unit"])
    if units[0] != units[1]:
        raise CaptureError(
            f"the columns have different units, {units[0] or 'none'} and {units[1] or 'none'}",
            where=where,
            hint=f"write both in one unit and name it after each, such as {'_mm,'.join(wanted.names[0])}_mm",
        )
    return (names[0], names[1]), units[0], places


def _places(names: list[str | None], *, wanted: WantedColumns) -> tuple[int, int] | None:
    """The two columns that alone bear a wanted pair of names; None where none or several do."""
    pairs = [pair for pair in wanted.names if all(names.count(name) == 1 for name in pair)]
    return (names.index(pairs[0][0]), names.index(pairs[0][1])) if len(pairs) == 1 else None


def _read(rows: Sequence[tuple[int, str]], columns: _Columns, *, where: str) -> Floats:
    """The numbers that count, ``(n, 2)``."""
    values = [_numbers(row, columns, where=f"{where}: line {number}") for number, row in rows]
    return in_level(
        np.array(values, dtype=np.float64),
        place=lambda row: f"line {rows[row][0]}",
        where=where,
        hint=columns.wanted.hint,
    )


def _numbers(row: str, columns: _Columns, *, where: str) -> tuple[float, ...]:
    """The numbers of a row that stand in the places that count."""
    cells = _cells(row, separator=columns.separator)
    if not max(columns.kept) < len(cells) <= columns.count:
        commas = len(cells) - columns.count if columns.separator == "," else 0
        hint = columns.wanted.hint
        if len(cells) < columns.count == 2:
            hint = (
                f"write {columns.wanted.pair} such as 12.5,-3"
                if columns.separator == ","
                else f"part the columns of every line by {_SIGNS[columns.separator]}, as one is"
            )
        elif commas == columns.count:
            hint = "with decimal commas, part the columns by a semicolon"
        elif 0 < commas < columns.count:
            hint = f"{hint}; or, where a comma stands in a number, write its decimals with a point"
        raise CaptureError(f"expected {columns.count} numbers, not {len(cells)}", where=where, hint=hint)
    return tuple(_number(cells[place], columns, where=where) for place in columns.kept)


def _number(cell: str, columns: _Columns, *, where: str) -> float:
    text = cell.replace(",", ".") if columns.separator != "," else cell
    value = float(text) if _NUMBER.fullmatch(text) else math.nan
    if not math.isfinite(value):
        raise CaptureError(
            f"expected a number, not {_quoted(cell)}",
            where=where,
            hint=f"write {columns.wanted.pair} such as 12.5,-3",
        )
    return value


def _quoted(cell: str) -> str:
    return f'"{printable(cell[:30])}{"..." if len(cell) > 30 else ""}"'
