"""A matrix of bands, which are a few rows each that are 0 outside a run of columns; these zeros are not kept.

A section's measurements move only the places up to its two neighbours: with
two hundred sections fewer than one entry in fifty is not 0.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby
from typing import Final

import numpy as np

from cradle.geometry.arrays import Bools, Floats, frozen

_STEP: Final = 16
"""Bands begin and end at multiples of this many columns, so that those of nearly the same columns are worked on at once."""


@dataclass(frozen=True, slots=True, eq=False)
class Band:
    """Some rows: what stands in their columns from ``first`` on, ``(r, c)``; they are 0 elsewhere."""

    first: int
    values: Floats

    @property
    def columns(self) -> slice:
        """The columns that are not 0."""
        return slice(self.first, self.first + self.values.shape[1])


@dataclass(frozen=True, slots=True, eq=False)
class Banded:
    """A ``(q, j)`` matrix as bands from top to bottom, each with the number of its first row."""

    shape: tuple[int, int]
    bands: tuple[tuple[int, Band], ...]

    def after(self, rows: Floats) -> Floats:
        """``rows @ matrix``: for ``(n, q)`` rows ``(n, j)``."""
        out = np.zeros((len(rows), self.shape[1]))
        for start, band in self.bands:
            own = rows[:, start : start + len(band.values)]
            if own.any():  # rows of which a caller wants nothing are 0
                out[:, band.columns] += own @ band.values
        return out

    def before(self, columns: Floats) -> Floats:
        """``columns @ matrix.T``: for ``(n, j)`` columns ``(n, q)``."""
        return np.concatenate([columns[:, band.columns] @ band.values.T for _, band in self.bands], axis=1)

    def scaled(self, factors: Floats, *, rows: Bools) -> Banded:
        """The matrix with some rows, ``(q,)`` bool, multiplied by a factor for each column, ``(j,)``."""
        bands = []
        for start, band in self.bands:
            which = rows[start : start + len(band.values), None]
            if which.any():
                values = np.where(which, band.values * factors[band.columns], band.values)
                band = Band(band.first, frozen(values))
            bands.append((start, band))
        return Banded(self.shape, tuple(bands))

    def largest(self, row: int) -> float:
        """The largest entry of a row that is nowhere negative."""
        start, band = next(pair for pair in reversed(self.bands) if pair[0] <= row)
        return float(band.values[row - start].max())


def trimmed(rows: Floats) -> Band:
    """The band of some whole rows, ``(r, j)``; without columns if they are all 0."""
    there = np.flatnonzero(rows.any(axis=0)) // _STEP
    first, last = (int(there[0]), int(there[-1]) + 1) if len(there) else (0, 0)
    return Band(first * _STEP, frozen(rows[:, first * _STEP : last * _STEP]))


def banded(bands: Iterable[Band], *, width: int) -> Banded:
    """The matrix of these rows from top to bottom, ``width`` columns wide."""
    joined: list[tuple[int, Band]] = []
    count = 0
    for _, alike in groupby(bands, key=lambda band: band.columns):
        same = list(alike)
        values = same[0].values
        if len(same) > 1:
            values = np.concatenate([band.values for band in same])
            values.setflags(write=False)
        joined.append((count, Band(same[0].first, values)))
        count += len(values)
    return Banded((count, width), tuple(joined))
