"""A matrix of bands, which are a few rows each that are 0 outside a run of columns; these zeros are not kept.

A section's measurements move only the places up to its two neighbours: with
two hundred sections fewer than one entry in fifty is not 0.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from cradle.geometry.arrays import Bools, Floats, frozen

_STEP: Final = 16
"""Bands begin and end at multiples of this many columns."""
_MORE_ROWS: Final = 20
"""A band takes as long to work on as if it had so many more rows: its result is added to that of the others."""


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
    """The matrix of these rows from top to bottom, ``width`` columns wide.

    Neighbours are joined, with zeros between, where that is less work.
    """
    runs: list[list[Band]] = []
    extent = _Extent()
    for band in bands:
        own = _extent(band)
        both = extent.with_(own)
        if runs and both.work <= extent.work + own.work:
            runs[-1].append(band)
            extent = both
        else:
            runs.append([band])
            extent = own
    joined = [_joined(run) for run in runs]
    starts = np.cumsum([0, *(len(band.values) for band in joined)]).tolist()
    return Banded((starts[-1], width), tuple(zip(starts, joined, strict=False)))


@dataclass(frozen=True, slots=True)
class _Extent:
    """How many rows some bands have, and the columns that they lie in; the first lies beyond the last where there are none."""

    rows: int = 0
    first: int = sys.maxsize
    last: int = 0

    def with_(self, other: _Extent) -> _Extent:
        return _Extent(self.rows + other.rows, min(self.first, other.first), max(self.last, other.last))

    @property
    def work(self) -> int:
        """How long it takes to work on them as one, in numbers multiplied."""
        return (self.rows + _MORE_ROWS) * max(self.last - self.first, 0)


def _extent(band: Band) -> _Extent:
    rows, columns = band.values.shape
    return _Extent(rows, band.first, band.first + columns) if columns else _Extent(rows)


def _joined(run: Sequence[Band]) -> Band:
    """Some bands as one."""
    if len(run) == 1:
        return run[0]
    there = [band.columns for band in run if band.values.size]
    first, last = min((c.start for c in there), default=0), max((c.stop for c in there), default=0)
    values = np.zeros((sum(len(band.values) for band in run), last - first))
    row = 0
    for band in run:
        rows, columns = band.values.shape
        values[row : row + rows, band.first - first : band.first - first + columns] = band.values
        row += rows
    values.setflags(write=False)
    return Band(first, values)
