"""Outlines and side profiles from tables of points."""

from __future__ import annotations

from pathlib import Path

from cradle.drawings.csv_columns import WantedColumns, read_table
from cradle.drawings.curves import Drawing, Ends
from cradle.drawings.file_unit import unit_factor
from cradle.drawings.flatten import check_span
from cradle.drawings.point_list import curve_of_points
from cradle.errors import located
from cradle.geometry.arrays import Floats
from cradle.units import MM_PER

_SECOND_FIRST = {("y", "x"), ("depth", "width")}
_HEIGHT = ("height", "z", "h", "höhe")
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
    points = table.values[:, ::-1] if table.names in _SECOND_FIRST else table.values
    factor, findings = unit_factor(table.unit, given=unit, where=where)
    return Drawing(
        curves=(curve_of_points(points * factor, ends=Ends.UNSAID, where=where),),
        findings=findings,
    )


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
