"""Which opening of a holder a place lies in, in words."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from cradle.geometry.arrays import Floats
from cradle.geometry.mesh import bounds_mm
from cradle.geometry.solid import mesh_of
from cradle.holder.holder import Holder

_NEAR_MM = 0.05
"""A place on an opening's wall lies in it."""


def opening_at(holder: Holder, place_mm: tuple[float, float, float]) -> str:
    """The opening whose box a place in the print frame lies in, such as "drain 1"; "" where there is none."""
    for name, low, high in _boxes(holder):
        x, y, z = place_mm[0], place_mm[1], place_mm[2] - holder.lift_mm
        if ((low - _NEAR_MM <= (x, y, z)) & ((x, y, z) <= high + _NEAR_MM)).all():
            return name
    return ""


def _boxes(holder: Holder) -> Iterator[tuple[str, Floats, Floats]]:
    """Names and boxes of all openings and of the plate's holes, stand frame, the openings of the project first."""
    for opening in holder.openings:
        for cut in opening.cuts:
            low, high = bounds_mm(mesh_of(cut))
            yield opening.words, low, high
    plate = holder.plate
    if plate is not None:
        for hole in plate.outlines_mm[1:]:
            (x0, z0), (x1, z1) = hole.min(axis=0), hole.max(axis=0)
            yield "a hole of the plate", np.array([x0, plate.front_mm, z0]), np.array([x1, plate.back_mm, z1])
