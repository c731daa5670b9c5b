"""The room that a tried piece has, and how much of it the thing as it is measured now leaves.

A print stays as it is, whatever is measured after it: a ring keeps its inside width. If the thing is 0.2 mm wider than was
believed when the ring was cut with 0.3 mm per side, what was seen was seen with 0.2 mm. Of a holder the gaps in its file
and how large the thing was taken to be are kept with the trial, at every height that is checked.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from cradle.fit.model import FitModel
from cradle.geometry.arrays import Bools, Floats
from cradle.loft.interpolate import cubic_at, monotone_slopes, straight_at
from cradle.pocket.clearance import ClearanceProfile
from cradle.project.convert import Pair
from cradle.project.trial_log import Room, Trial

SAME_MM: Final = 0.05
"""Widths that differ by no more than this are one: half of what test rings differ by at least."""
_RIM_MM: Final = 1.0
"""Up to this far above a print's rim the thing counts as held by it: levels lie further apart."""


def room_of(model: FitModel, in_file: ClearanceProfile) -> Room:
    """The room of a holder whose file has these gaps: ``(height, gap, width, depth)`` of the thing at all levels of its places, mm."""
    heights = model.places.heights_mm
    rows = np.column_stack([heights, in_file.at(heights), model.places.sizes_mm])
    return tuple((round(h, 3), round(gap, 3), round(w, 3), round(d, 3)) for h, gap, w, d in rows.tolist())


def gap_in(room: Room, *, height_mm: float | None) -> float:
    """The gap that a holder has at a height in its file, or else the least, mm."""
    heights, gaps = np.array(room).T[:2]
    return float(gaps.min() if height_mm is None else np.interp(height_mm, heights, gaps))


def reached(model: FitModel, room: Room) -> Bools:
    """Which levels of a thing's places a holder reaches, ``(l,)``: above its rim it has no wall."""
    return np.asarray(model.places.heights_mm <= room[-1][0] + _RIM_MM)


def sizes_grown_mm(model: FitModel, room: Room) -> Floats:
    """How much wider and deeper per side the thing is by now at each level of its places, 0 where the holder does not reach, ``(l, 2)``, mm."""
    places = model.places
    now, (low, high) = places.sizes_mm, _sizes_then(room, places.heights_mm)
    return np.where(reached(model, room)[:, None], (now - np.clip(now, low, high)) / 2, 0.0)


def _sizes_then(room: Room, heights_mm: Floats) -> tuple[Floats, Floats]:
    """The least and the greatest width and depth that a thing may have had at heights, ``(l, 2)`` each, mm.

    They are known at the room's own levels alone; between these it ran straight or as smoothly as `monotone_slopes` lead.
    """
    heights, _, *sizes = np.array(room).T
    then = np.column_stack(sizes)
    if len(heights) == 1:
        return then, then
    at = np.clip(heights_mm, heights[0], heights[-1])
    straight, smooth = (
        straight_at(heights, then, at),
        cubic_at(heights, then, monotone_slopes(heights, then), at),
    )
    return np.minimum(straight, smooth), np.maximum(straight, smooth)


def further_mm(model: FitModel, *, room: Room, gap_mm: float) -> Floats:
    """How much more than a gap there is at each place between that holder and the thing as measured now, ``(j,)``, mm.

    Where the thing is wider or deeper by now there is less, half of it on either side.
    """
    places = model.places
    heights, gaps = np.array(room).T[:2]
    grown = sizes_grown_mm(model, room)[places.levels]
    level = places.normals[:, :2]
    outward = (grown * level**2).sum(axis=1) / np.maximum(np.linalg.norm(level, axis=1), 1e-9)
    return places.clearances_mm(np.interp(places.heights_mm, heights, gaps)) - outward - gap_mm


def size_there_mm(model: FitModel, *, section: str | None, height_mm: float | None) -> Pair | None:
    """Width and depth that the thing is taken to have at a section or a height, mm; None where it is neither."""
    if section in model.names:
        size = model.section_sizes_mm[model.names.index(section)]
    elif section is None and height_mm is not None:
        size = [np.interp(height_mm, model.section_heights_mm, one) for one in model.section_sizes_mm.T]
    else:
        return None
    return round(float(size[0]), 2), round(float(size[1]), 2)


def grown_mm(model: FitModel, trial: Trial) -> float:
    """By how much the thing grew per side since the piece was tried, because it was measured anew, mm: the piece has that much less gap.

    It is told along the axis where it grew most, which decides how the piece goes on; 0 where nothing changed.
    """
    size = size_there_mm(model, section=trial.section, height_mm=trial.height_mm)
    if size is None or trial.size_mm is None:
        return 0.0
    grown = [now - then for now, then in zip(size, trial.size_mm, strict=True)]
    return max(grown) / 2 if max(map(abs, grown)) > SAME_MM else 0.0
