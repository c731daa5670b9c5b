"""Side profiles from lists of readings and drawings."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import numpy as np

from cradle.drawings.curves import Curve, Ends, picked, the_one
from cradle.drawings.drawing_reader import read_drawing, wrong_ending
from cradle.drawings.joining import joined_curves
from cradle.drawings.points import read_heights
from cradle.errors import OutlineError
from cradle.geometry.arrays import Floats, frozen
from cradle.project.view import PROFILE_ENDINGS
from cradle.tolerances import TOLERANCES

_RISE_MM: Final = 0.001
"""Each point of a level step in a drawn profile is put this much above the one before it."""


def read_profile(path: Path, *, where: str | None = None) -> Floats:
    """A side profile, ``(m, 2)`` float64 mm: heights, rising, and the coordinates at them.

    Parameters
    ----------
    path : Path
        A CSV file with height and coordinate a line, or an SVG or DXF drawing of
        one open curve: y is the height, x the coordinate.
    where : str, optional
        The file's name as the project writes it, for messages.

    Raises
    ------
    CaptureError
        If the file cannot be read.
    OutlineError
        If a height comes twice, or a drawn profile turns back downwards.
    """
    where = where or path.as_posix()
    ending = path.suffix.lower()
    if ending == ".csv":
        values, lines = read_heights(path, where=where)
        order = np.argsort(values[:, 0], kind="stable")
        values = values[order]
        same = np.flatnonzero(np.diff(values[:, 0]) <= 0)
        if same.size:
            at = int(same[0])
            raise OutlineError(
                f"the height {values[at, 0]:g} mm comes twice, in line {lines[order[at]]} and line {lines[order[at + 1]]}",
                where=where,
                hint="keep one coordinate for each height; where the side steps in or out, read 0.1 mm below and above the step",
            )
    elif ending in (".svg", ".dxf"):
        drawing = read_drawing(path, where=where, unit=None)
        curves, _ = joined_curves(picked(drawing, layer=None, where=where), where=where)
        curve = the_one(curves, where=where, hint="keep only the profile in the drawing")
        values = _as_heights(curve, where=where)
    else:
        raise wrong_ending(path, where=where, known=PROFILE_ENDINGS)
    if len(values) < 2:
        raise OutlineError("found 1 point, a profile needs at least 2", where=where)
    return frozen(values)


def _as_heights(curve: Curve, *, where: str) -> Floats:
    """A drawn profile's heights and coordinates, ``(m, 2)`` mm, rising: level steps are tilted a little, and where an unsteady hand fell back is left out."""
    if curve.ends is Ends.CLOSED:
        raise OutlineError(
            "the profile is a closed curve", where=where, hint="draw one side as an open curve"
        )
    values = curve.points_mm[:, ::-1]
    values = values if values[-1, 0] >= values[0, 0] else values[::-1]
    reached = np.maximum.accumulate(values[:, 0])
    back = np.flatnonzero(reached - values[:, 0] > TOLERANCES.gap_mm)
    if back.size:
        height, coordinate = values[int(back[0]) - 1]
        raise OutlineError(
            f"the profile runs down again from height {height:.2f} mm, coordinate {coordinate:.2f} mm",
            where=where,
            hint="a profile has one coordinate for each height: draw what hangs over straight down from its edge",
        )
    if reached[-1] - reached[0] <= TOLERANCES.duplicate_mm:
        raise OutlineError(
            f"the profile does not rise: all of it lies at height {reached[0]:.2f} mm",
            where=where,
            hint="y is the height in a drawn profile, x how far the side reaches there",
        )
    ends = np.diff(reached, prepend=-np.inf, append=np.inf) > 0
    kept = ends[:-1] | ends[1:]
    rise = min(_RISE_MM, float(np.ptp(reached)) / (10 * len(reached))) * np.arange(kept.sum())
    rising = np.maximum.accumulate(reached[kept] - rise) + rise
    return np.column_stack([rising, values[kept, 1]])
