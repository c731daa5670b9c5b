"""The room that a tried holder has all the way up, and how much of it the thing as it is measured now leaves.

A print stays as it is, whatever is measured after it: the gaps in its file and
how large the thing was taken to be are kept with the trial, at every height
that is checked.
"""

from __future__ import annotations

import numpy as np

from cradle.fit.model import FitModel
from cradle.geometry.arrays import Floats
from cradle.pocket.clearance import ClearanceProfile
from cradle.project.trial_log import Room


def room_of(model: FitModel, in_file: ClearanceProfile) -> Room:
    """The room of a holder whose file has these gaps: ``(height, gap, width, depth)`` of the thing at all levels of its places, mm."""
    heights = model.places.heights_mm
    rows = np.column_stack([heights, in_file.at(heights), model.places.sizes_mm])
    return tuple((round(h, 3), round(gap, 3), round(w, 3), round(d, 3)) for h, gap, w, d in rows.tolist())


def gap_in(room: Room, *, height_mm: float | None) -> float:
    """The gap that a holder has at a height in its file, or else the least, mm."""
    heights, gaps = np.array(room).T[:2]
    return float(gaps.min() if height_mm is None else np.interp(height_mm, heights, gaps))


def sizes_grown_mm(model: FitModel, room: Room) -> Floats:
    """How much wider and deeper per side the thing is by now at each level of its places, ``(l, 2)``, mm."""
    places = model.places
    heights, _, *sizes = np.array(room).T
    then = np.column_stack([np.interp(places.heights_mm, heights, one) for one in sizes])
    return np.asarray((places.sizes_mm - then) / 2)


def further_mm(model: FitModel, *, room: Room, gap_mm: float) -> Floats:
    """How much more than a gap there is at each place between that holder and the thing as measured now, ``(j,)``, mm.

    Where the thing is wider or deeper by now there is less, half of it on either side.
    """
    places = model.places
    heights, gaps = np.array(room).T[:2]
    grown = sizes_grown_mm(model, room)[places.levels]
    level = places.normals[:, :2]
    outward = (grown * level**2).sum(axis=1) / np.maximum(np.linalg.norm(level, axis=1), 1e-9)
    return np.asarray(np.interp(places.z_mm, heights, gaps) - outward - gap_mm)
