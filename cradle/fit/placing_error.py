"""How the thing's skin moves where something that was measured is off: each error as a row of outward movements, ``(1, j)`` or ``(q, j)``.

All sections are placed by one linear estimate (`cradle.sections.posterior`). If
a reading is off by e, and would be larger by t if the outline were drawn as it
truly is, the true placing differs from the estimate by −gain · (e + t).

A tracing error therefore enters twice, as one quantity: it moves the outline
itself, and through t (`cradle.fit.tracing_error`) it moves the sections that
the readings place.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from cradle.fit.banded import Band, trimmed
from cradle.fit.places import Places
from cradle.fit.tracing_error import Drawn
from cradle.fit.uncertainties import Spread
from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.ring import box_middle
from cradle.matching.pooled import Pooling, unpooled
from cradle.noun import noun
from cradle.sections.posterior import CALIPERS, PARAMETERS, Posterior, ReadingKind, movements
from cradle.sections.reading_spreads import caliper_limit_mm, rectangular
from cradle.sections.section import Section

_KINDS: Final = {
    ReadingKind.WIDTH: Spread.CALIPERS,
    ReadingKind.DEPTH: Spread.CALIPERS,
    ReadingKind.GIRTH: Spread.CALIPERS,
    ReadingKind.SCALE: Spread.SCALE,
    ReadingKind.SCALE_APART: Spread.SCALE,
}
"""Which spread a reading's own error belongs to; that of all other kinds, which say how sections lie, to `Spread.PLACING`."""
_LIKENESS: Final = (ReadingKind.LIKENESS_X, ReadingKind.LIKENESS_Y)
_LEAN: Final = (ReadingKind.LEAN_X, ReadingKind.LEAN_Y)
"""Kinds of reading, for x and for y, that nobody took: they are expectations of how a thing's form lets its sections lie."""
_AT_ONCE: Final = 32
"""This many changes of placing are worked out together: few enough to keep in memory, many enough to read the moves seldom."""
_NOTHING_MM: Final = 1e-5
"""Smaller movements of a place are left out."""


@noun
class Placing:
    """The placing of k sections by m readings, and how the j places of the skin follow it.

    Attributes
    ----------
    sections : tuple of k Section
    shares : (k, j) float64
        How much of each place moves with each section: straight between heights, each column summing to 1.
    moves : tuple of k Band
        Outward movement of each place for a change of 1 of each of a section's five parameters of placing, ``(5, j)``.
    follows : tuple of m Band
        Outward movement of each place, mm, for a change of 1 of a reading, ``(1, j)``.
    pooling : Pooling
        How the sections' outlines were pooled.
    """

    places: Places
    sections: tuple[Section, ...]
    posterior: Posterior
    shares: Floats
    moves: tuple[Band, ...]
    follows: tuple[Band, ...]
    pooling: Pooling

    def traces(self, waves: Floats, *, trace_mm: float) -> Iterator[Floats]:
        """For each section the rows of its tracing error, ``(q, j)``, mm; then rows of those true steps of the form that pooling mistakes for such errors.

        An error has two parts. What shifts the outline as a whole and changes its
        width and depth is the section's own; what is left is an error of its form,
        which all outlines share that were pooled with it.

        Parameters
        ----------
        waves : (q, j) float64
            Smooth random functions along the skin that together have unit variance (`cradle.fit.sensitivities.smooth_waves`).
        """
        plain = trace_mm * waves * np.linalg.norm(self.places.normals[:, :2], axis=1)
        drawn = [
            Drawn.of(section, places=self.places, errors_mm=trace_mm * waves) for section in self.sections
        ]
        alone = [one.sized @ moves.values for one, moves in zip(drawn, self.moves, strict=True)]
        forms = [
            Band(moves.first, plain[:, moves.columns] * share[moves.columns] - own)
            for share, moves, own in zip(self.shares, self.moves, alone, strict=True)
        ]
        for k, one in enumerate(drawn):
            rows = self._sum_of(forms, self.pooling.errors[:, k])
            rows[:, self.moves[k].columns] += alone[k]
            for reading, follows in zip(self.posterior.readings, self.follows, strict=True):
                more = one.told(reading, section=k)
                if more is not None:
                    rows[:, follows.columns] -= np.outer(more, follows.values)
            yield _clean(rows)
        for steps in self.pooling.steps.T:
            if steps.any():
                yield _clean(self._sum_of(forms, steps / trace_mm))

    def _sum_of(self, bands: Sequence[Band], parts: Floats) -> Floats:
        """The sum of several bands, each times its part, as whole rows."""
        rows = np.zeros((len(bands[0].values) if bands else 1, len(self.places.z_mm)))
        for k in np.flatnonzero(parts).tolist():
            rows[:, bands[k].columns] += parts[k] * bands[k].values
        return rows

    def readings(self, *, placing_mm: float | None = None) -> Iterator[tuple[Spread, Floats]]:
        """For each reading the spread that its own error belongs to and the row of that, ``(1, j)``, mm; those of `unread` are left out.

        Where the project states ``placing_mm``, the uncertainty of every section's
        place along x and along y, that takes the place of all readings that tell how
        sections lie beside each other.
        """
        stated = placing_mm is not None
        unread = self._unread_kinds()
        for m, reading in enumerate(self.posterior.readings):
            kind = _KINDS.get(reading.kind, Spread.PLACING)
            if reading.kind not in unread and not (stated and kind is Spread.PLACING):
                yield kind, self._own_error(m)
        if placing_mm is not None:
            for share in self.shares:
                yield Spread.PLACING, _clean(placing_mm * self.places.directions.T * share)
        elif not self.posterior.readings:  # the placing's covariance is known, but not the readings behind it
            values, vectors = np.linalg.eigh(self.posterior.covariance)
            roots = np.sqrt(np.clip(values, 0.0, None)) * vectors
            changes = roots.T.reshape(len(roots), len(self.moves), PARAMETERS)
            yield Spread.PLACING, _clean(_moved(changes, self.moves, places=len(self.places.z_mm)))

    def unread(self) -> Iterator[Floats]:
        """A row for each expectation of the thing's form, along an axis of which nothing was read, ``(1, j)``, mm.

        Such an expectation alone places the sections there, and how wrong it is
        differs from thing to thing: the row holds its median spread, which an
        unknown factor multiplies (`cradle.sections.reading_spreads.UNREAD_TAIL`).
        Where something was read too, it counts with its median, among the `readings`.
        """
        kinds = self._unread_kinds()
        for m, reading in enumerate(self.posterior.readings):
            if reading.kind in kinds:
                yield self._own_error(m)

    def _unread_kinds(self) -> set[ReadingKind]:
        """The kinds of `_LIKENESS` and `_LEAN` along the axes along which nothing was read."""
        known = self.posterior.lean_known
        return {
            kind for kinds in (_LIKENESS, _LEAN) for kind, read in zip(kinds, known, strict=True) if not read
        }

    def _own_error(self, m: int) -> Floats:
        """The row of reading m's own error, ``(1, j)``, mm."""
        return _clean(self._sum_of([self.follows[m]], np.array([-self.posterior.readings[m].own])))

    def instrument(self) -> Floats:
        """The row of the calipers' own error, the same in all their readings, ``(1, j)``, mm."""
        off = np.zeros(len(self.follows))
        for m, reading in enumerate(self.posterior.readings):
            if reading.kind in CALIPERS:
                axis = CALIPERS.index(reading.kind)
                length = float(np.ptp(self.sections[reading.section].points_mm[:, axis]))
                off[m] = -rectangular(caliper_limit_mm(length))
        return _clean(self._sum_of(self.follows, off))

    def heights(self, *, heights_mm: float) -> Iterator[Floats]:
        """For each section the row of its height's error, ``(1, j)``, mm.

        A section that was cut higher than noted is off in two ways: its outline
        belongs higher up, and profiles placed it by what they read at the height noted.
        """
        readings = self.posterior.readings
        for k, share in enumerate(self.shares):
            own = np.array([float(r.section == k and r.kind is ReadingKind.HEIGHT) for r in readings])
            row = self.places.normals[:, 2] * share + self._sum_of(self.follows, own)
            yield _clean(heights_mm * row)


def placing_of(
    places: Places, sections: Sequence[Section], *, posterior: Posterior, pooling: Pooling | None = None
) -> Placing:
    """How the skin's places follow the sections': straight between their heights, and the end section's beyond."""
    heights = np.array([s.height_mm for s in sections])
    at = places.z_mm
    shares = np.array([np.interp(at, heights, row) for row in np.eye(len(heights))])
    out = places.normals[:, :2]
    moves = []
    for k, section in enumerate(sections):
        own = np.flatnonzero(shares[k])  # a section moves what lies up to its neighbours
        there = movements(places.points_mm[own, :2], middle_mm=box_middle(section.points_mm))
        rows = np.zeros((PARAMETERS, len(at)))
        rows[:, own] = np.einsum("jc,jcp->pj", out[own], there) * shares[k, own]
        moves.append(trimmed(rows))
    return Placing(
        places=places,
        sections=tuple(sections),
        posterior=posterior,
        shares=frozen(shares),
        moves=tuple(moves),
        follows=tuple(_follows(posterior.gain.T, moves, places=len(at))),
        pooling=pooling or unpooled(len(sections)),
    )


def _follows(changes: Floats, moves: Sequence[Band], *, places: int) -> Iterator[Band]:
    """Outward movement of each place, ``(1, j)`` mm, for each of ``(q, 5 k)`` changes of all sections' placing."""
    for start in range(0, len(changes), _AT_ONCE):
        some = changes[start : start + _AT_ONCE].reshape(-1, len(moves), PARAMETERS)
        yield from (trimmed(row[None]) for row in _moved(some, moves, places=places))


def _moved(changes: Floats, moves: Sequence[Band], *, places: int) -> Floats:
    """Outward movement of each place, ``(q, j)`` mm, for each of ``(q, k, 5)`` changes."""
    rows = np.zeros((len(changes), places))
    for k, band in enumerate(moves):
        rows[:, band.columns] += changes[:, k] @ band.values
    return rows


def _clean(rows: Floats) -> Floats:
    """The rows without movements too small to count."""
    return np.where(np.abs(rows) > _NOTHING_MM, rows, 0.0)
