"""Outlines side by side on one drawing, each with its name under it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import groupby
from typing import Final

import numpy as np

from cradle.drawing.labels import Label
from cradle.export.named_ring import NamedRing
from cradle.geometry.arrays import frozen

_NAME_MM: Final = 3.5
_UNDER_MM: Final = 9.0
"""Strip under outlines for their name."""
_BETWEEN_MM: Final = 8.0
_ROW_MM: Final = 400.0
"""A row ends before it is wider: half the width of common sheets to cut from (common practice, no source)."""


def side_by_side(rings: Sequence[NamedRing]) -> tuple[tuple[NamedRing, ...], tuple[Label, ...]]:
    """The rings moved apart, in rows from the top, and their names; those of one height stay within one another."""
    moved: list[NamedRing] = []
    names: list[Label] = []
    x = y = row = 0.0
    for height, group in groupby(rings, key=lambda ring: ring.height_mm):
        alike = list(group)
        points = np.concatenate([ring.points_mm for ring in alike])
        low, (wide, tall) = points.min(axis=0), np.ptp(points, axis=0).tolist()
        name = Label(text=f"{alike[0].name}, {height:g} mm", at=(0.0, 0.0), height_mm=_NAME_MM, anchor=0.0)
        wide, tall = max(wide, name.width_mm), tall + _UNDER_MM
        if x > 0 and x + wide > _ROW_MM:
            x, y, row = 0.0, y - row - _BETWEEN_MM, 0.0
        by = np.array([x, y - tall + _UNDER_MM]) - low
        moved += [replace(ring, points_mm=frozen(ring.points_mm + by)) for ring in alike]
        names.append(name.moved((x, y - tall + _UNDER_MM - 2 * _NAME_MM)))
        x, row = x + wide + _BETWEEN_MM, max(row, tall)
    return tuple(moved), tuple(names)
