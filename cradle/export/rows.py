"""Outlines laid in rows from the top, in their order, as many in a row as fit: on pages, or on one sheet of any length."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import groupby
from math import inf
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


def in_rows(
    sizes_mm: Sequence[tuple[float, float]], *, wide_mm: float, tall_mm: float = inf, between_mm: float
) -> Iterator[tuple[int, float, float]]:
    """For things of such widths and heights, none larger than a page: the page, and the place on it from its left and from its top down, mm.

    Examples
    --------
    >>> list(in_rows([(6, 2), (3, 4), (5, 9)], wide_mm=10, tall_mm=12, between_mm=1))
    [(0, 0.0, 0.0), (0, 7.0, 0.0), (1, 0.0, 0.0)]
    """
    page, x, down, row = 0, 0.0, 0.0, 0.0
    for wide, tall in sizes_mm:
        if x > 0 and x + wide > wide_mm:
            x, down, row = 0.0, down + row + between_mm, 0.0
        if down + tall > tall_mm:
            page, x, down, row = page + 1, 0.0, 0.0, 0.0
        yield page, x, down
        x, row = x + wide + between_mm, max(row, tall)


def laid_apart(rings: Sequence[NamedRing]) -> tuple[tuple[NamedRing, ...], tuple[Label, ...]]:
    """The rings moved apart, in rows from the top, and their names; those of one height stay within one another."""
    groups = []
    for height, group in groupby(rings, key=lambda ring: ring.height_mm):
        alike = list(group)
        points = np.concatenate([ring.points_mm for ring in alike])
        wide, tall = np.ptp(points, axis=0).tolist()
        name = Label(text=f"{alike[0].name}, {height:g} mm", at=(0.0, 0.0), height_mm=_NAME_MM, anchor=0.0)
        groups.append((alike, points.min(axis=0), name, (max(wide, name.width_mm), tall + _UNDER_MM)))
    moved: list[NamedRing] = []
    names: list[Label] = []
    places = in_rows([size for *_, size in groups], wide_mm=_ROW_MM, between_mm=_BETWEEN_MM)
    for (_, x, down), (alike, low, name, (_, tall)) in zip(places, groups, strict=True):
        foot = _UNDER_MM - down - tall
        moved += [replace(one, points_mm=frozen(one.points_mm + ([x, foot] - low))) for one in alike]
        names.append(name.moved((x, foot - 2 * _NAME_MM)))
    return tuple(moved), tuple(names)
