"""Sensitivities: how far each place of the thing's skin moves when one quantity is off by its spread.

All are linear: the deviation at place j is mean_j + Σ_q sensitivity_qj · ξ_q
with independent ξ of mean 0 and standard deviation 1 (JCGM 100:2008, 5.1:
sensitivity coefficients times standard uncertainties). What is common, the
calipers' own error, the printer, is one quantity for all its places. Where a
reading is off, the placing of all sections that it decides is off with it
(`placing_error`).

A deviation along an outline is a periodic smooth random function, a Fourier
series whose shares follow exp(−(2π m l / L)² / 2) for m waves around a way
of length L: correlation exp(−d² / 2l²) over a distance d (the series of the
Gaussian covariance, any text on random fields).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from cradle.fit.banded import Band, Banded, banded, trimmed
from cradle.fit.interpolation_error import ALIKE_IN_ALL, InterpolationError
from cradle.fit.places import Places
from cradle.fit.placing_error import Placing
from cradle.fit.uncertainties import Spread, inside_error
from cradle.geometry.arrays import Bools, Floats, Ints, frozen, frozen_ints
from cradle.noun import noun
from cradle.project.fit import SpreadSpec
from cradle.project.printer import PrinterSpec
from cradle.sections.reading_spreads import UNREAD_TAIL
from cradle.sections.reading_spreads import rectangular as rectangular_spread

_TRACE_LENGTH_MM: Final = 12.0
"""Distance over which a tracing error keeps its direction (common practice, no source)."""
_MOST_WAVES: Final = 20
"""At most this many waves go round an outline: shorter ones are left out."""
_SHARES: Final = (0.2, 0.3, 0.5)
"""Shares of the variance between sections: of what is the same all around, of long waves and of short ones.

So outlines of scanned household things are correlated: 0.6, 0.3 and 0.2 between places that lie 1, 4 and 12
forty-eighths of the way round apart.
"""
_LONG_PART: Final = 1 / 8
"""Distance over which long waves keep their direction, as a part of the way round."""
_SHORT_PART: Final = 1 / 60
"""The same of short waves: as short as waves go."""
_UPRIGHT: Final = (0.8, 0.2)
"""Shares of the same variance up the gap: of what has one sign all the way up, and of what changes it half way.

That correlates places a quarter and three quarters of the way up by 0.88; true outlines of 44 scanned household things by 0.41.
"""


@noun
class Influences:
    """Deviations of all places as a linear function of independent quantities.

    Attributes
    ----------
    matrix : (q, j) Banded
        Outward movement of place j, mm, when quantity q is one spread off.
    mean_mm : (j,) float64
        The mean deviation.
    between_mean_mm : (j,) float64
        The part of it by which the thing leaves the loft between sections.
    points_mean_mm : (j,) float64
        The part of it by which a round thing stands out between few points.
    spreads : tuple of q Spread
        The spread that each quantity belongs to.
    rectangular : (q,) bool
        Whether it is uniform between ±√3 standard deviations; the others are normal.
    mixed : (q,) int64
        The number of the unknown factor that multiplies it; −1 for none.
    tails : (f,) float64
        Standard deviation of the natural logarithm of each factor.
    alike : (f,) float64
        Part of that variance that a factor has in common with all others.
    sections : (k, j) float64
        How much of each place moves with each section.
    """

    matrix: Banded
    mean_mm: Floats
    between_mean_mm: Floats
    points_mean_mm: Floats
    spreads: tuple[Spread, ...]
    rectangular: Bools
    mixed: Ints
    tails: Floats
    alike: Floats
    sections: Floats

    def of(self, spread: Spread) -> Bools:
        """Which quantities belong to a spread, ``(q,)``."""
        return np.array([s is spread for s in self.spreads], dtype=bool)

    @property
    def inside_mm(self) -> Floats:
        """By how much the printer's inside error moves all places, mm, at its quantity, and 0 at all others, ``(q,)``."""
        moves = np.zeros(len(self.spreads))
        for q in np.flatnonzero(self.of(Spread.INSIDE)).tolist():
            moves[q] = self.matrix.largest(q)
        return moves

    def mean_of(self, spread: Spread) -> Floats:
        """The part of the mean deviation that belongs to a spread, ``(j,)``, mm; the printer has what no other spread has."""
        parts = {Spread.BETWEEN: self.between_mean_mm, Spread.POINTS: self.points_mean_mm}
        if spread is Spread.INSIDE:
            return self.mean_mm - self.between_mean_mm - self.points_mean_mm
        return parts.get(spread, np.zeros_like(self.mean_mm))


@dataclass(frozen=True, slots=True, eq=False)
class _Quantities:
    """Some quantities of one kind: their rows of the matrix, the spread they belong to, and how they are drawn (see `Influences`)."""

    band: Band
    spread: Spread
    rectangular: bool = False
    mixed: int = -1


def influences(
    places: Places,
    placing: Placing,
    *,
    between: InterpolationError,
    spread: SpreadSpec,
    printer: PrinterSpec,
    chord_gaps_mm: Sequence[float] = (),
) -> Influences:
    """The sensitivities to everything that was measured.

    Parameters
    ----------
    placing : Placing
        The sections, and how their places follow from the readings.
    printer : PrinterSpec
        The pocket is taken to be widened by its ``inside_error_mm``.
    chord_gaps_mm : sequence of k float
        How far a round thing stands out between the points read of each section (`cradle.matching.rings`).
    """
    count = len(places.along)
    between_rows, mean, tails = _between(places, between)
    alike = np.full(len(tails), ALIKE_IN_ALL)
    unread: list[_Quantities] = []
    if spread.placing_mm is None:
        unread = _unread(placing, factor=len(tails))
        tails, alike = np.append(tails, UNREAD_TAIL), np.append(alike, 0.0)
    few_points, stands_out = _few_points(placing, chord_gaps_mm, spread=spread)
    believed = inside_error(printer, spread)
    printed = [
        _Quantities(trimmed(np.full((1, count), believed.spread_mm)), Spread.INSIDE),
        _Quantities(trimmed(np.full((1, count), spread.repeat_mm)), Spread.REPEAT),
    ]
    quantities = (*_measured(places, placing, spread=spread), *between_rows, *unread, *few_points, *printed)
    used = [some for some in quantities if some.band.values.size]
    if not used:  # every spread is 0: one quantity without influence keeps the arithmetic whole
        used = [_Quantities(Band(0, frozen(np.zeros((1, count)))), Spread.REPEAT)]
    rows_of = [len(some.band.values) for some in used]
    return Influences(
        matrix=banded((some.band for some in used), width=count),
        mean_mm=frozen(mean + stands_out + believed.expected_mm - printer.inside_error_mm),
        between_mean_mm=frozen(mean),
        points_mean_mm=frozen(stands_out),
        spreads=tuple(some.spread for some, n in zip(used, rows_of, strict=True) for _ in range(n)),
        rectangular=np.repeat([some.rectangular for some in used], rows_of),
        mixed=frozen_ints(np.repeat([some.mixed for some in used], rows_of)),
        tails=frozen(tails),
        alike=frozen(alike),
        sections=placing.shares,
    )


def _measured(places: Places, placing: Placing, *, spread: SpreadSpec) -> Iterator[_Quantities]:
    """The quantities of everything that was traced or read."""
    waves = smooth_waves(places.along, places.round_mm, length_mm=_TRACE_LENGTH_MM)
    for rows in placing.traces(waves, trace_mm=spread.trace_mm):
        yield _Quantities(trimmed(rows), Spread.TRACE)
    for kind, rows in placing.readings(placing_mm=spread.placing_mm):
        yield _Quantities(trimmed(rows), kind)
    yield _Quantities(trimmed(placing.instrument()), Spread.CALIPERS, rectangular=True)
    for rows in placing.heights(heights_mm=spread.heights_mm):
        yield _Quantities(trimmed(rows), Spread.HEIGHTS)


def _unread(placing: Placing, *, factor: int) -> list[_Quantities]:
    """The quantities of how the sections lie where only the thing's form tells it (`Placing.unread`), all multiplied by one factor.

    The matrix holds the standard deviation of what is drawn, as in `_between`.
    """
    root = np.exp(UNREAD_TAIL**2)
    return [_Quantities(trimmed(root * row), Spread.PLACING, mixed=factor) for row in placing.unread()]


def _few_points(
    placing: Placing, chord_gaps_mm: Sequence[float], *, spread: SpreadSpec
) -> tuple[list[_Quantities], Floats]:
    """The quantities of sections that have few points, and the mean deviation they make, ``(j,)``, mm.

    Nobody knows whether few points stand for corners or for a curve, so between
    them the thing stands out by anything from nothing to as far as the curve would.
    Where that is less than the tracing error it is part of that.
    """
    stands_out = np.zeros(placing.shares.shape[1])
    quantities = []
    for share, gap in zip(placing.shares, chord_gaps_mm, strict=False):
        if gap > spread.trace_mm:
            stands_out += gap / 2 * share
            row = rectangular_spread(gap / 2) * share
            quantities.append(_Quantities(trimmed(row[None]), Spread.POINTS, rectangular=True))
    return quantities, stands_out


def smooth_waves(along: Floats, round_mm: float, *, length_mm: float) -> Floats:
    """A smooth periodic random function of unit variance as independent waves: in each row a cosine or a sine, ``(q, j)``."""
    m = np.arange(_MOST_WAVES + 1)
    power = np.exp(-0.5 * (2 * np.pi * m * length_mm / round_mm) ** 2)
    power[1:] *= 2
    power /= power.sum()
    m, power = m[power > 1e-4], power[power > 1e-4]
    phase = 2 * np.pi * m[:, None] * along
    rows = np.sqrt(power)[:, None]
    return np.concatenate([rows * np.cos(phase), (rows * np.sin(phase))[1:]])


def _between(places: Places, error: InterpolationError) -> tuple[list[_Quantities], Floats, Floats]:
    """The quantities of every gap, the mean deviation they make, ``(j,)``, mm, and the tails of the gaps' factors."""
    along, way = places.along, places.round_mm
    whole, long, short = np.sqrt(_SHARES)
    around = np.concatenate(
        [
            whole * np.ones((1, len(along))),
            long * smooth_waves(along, way, length_mm=way * _LONG_PART),
            short * smooth_waves(along, way, length_mm=way * _SHORT_PART),
        ]
    )
    one, two = np.sqrt(_UPRIGHT)
    quantities = []
    for g in np.unique(error.gap):
        own = error.gap == g
        rows = around * (error.amount_mm * own)
        quantities.append(_Quantities(trimmed(one * rows), Spread.BETWEEN, mixed=int(g)))
        quantities.append(_Quantities(trimmed(two * rows * error.turned), Spread.BETWEEN, mixed=int(g)))
    reached = int(error.gap.max(initial=-1)) + 1
    return quantities, error.mean_mm, error.tails[:reached]
