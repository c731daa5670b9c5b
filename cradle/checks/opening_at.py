"""Which opening of a holder a place lies in, in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from cradle.geometry.arrays import Floats
from cradle.geometry.solid import box_mm
from cradle.holder.holder import Holder

_NEAR_MM = 0.05
"""A place on an opening's wall lies in it."""


def openings_at(holder: Holder, places_mm: Sequence[tuple[float, float, float]]) -> list[str]:
    """The opening whose box each place in the print frame lies in, such as "drain 1"; "" where there is none."""
    boxes, up = list(_boxes(holder)), np.array([0.0, 0.0, holder.lift_mm])
    return [
        next((name for name, low, high in boxes if _within(np.array(place) - up, low=low, high=high)), "")
        for place in places_mm
    ]


def _within(place_mm: Floats, *, low: Floats, high: Floats) -> bool:
    return bool(((low - _NEAR_MM <= place_mm) & (place_mm <= high + _NEAR_MM)).all())


def _boxes(holder: Holder) -> Iterator[tuple[str, Floats, Floats]]:
    """Names and boxes of all openings and of the plate's holes, stand frame, the openings of the project first."""
    for opening in holder.openings:
        for cut in opening.cuts:
            yield opening.words, *box_mm(cut)
    plate = holder.plate
    if plate is not None:
        for hole in plate.outlines_mm[1:]:
            (x0, z0), (x1, z1) = hole.min(axis=0), hole.max(axis=0)
            yield "a hole of the plate", np.array([x0, plate.front_mm, z0]), np.array([x1, plate.back_mm, z1])
