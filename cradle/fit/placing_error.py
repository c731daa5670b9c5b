"""How the sections' places, and with them the thing's skin, follow from errors of what was measured.

The placing of all sections is one estimate (`cradle.sections.posterior`): an
error e of a reading, which by the true outline should be t larger than by the
drawn one, puts the true placing off the estimate by −gain · (e + t). The
outlines themselves are off by their tracing errors too, so a tracing error
enters twice (`cradle.fit.tracing_error`): it is one quantity.
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
from cradle.sections.reading_spreads import (
    caliper_limit_mm,
    rectangular,
)
from cradle.sections.section import Section

_KINDS: Final = {
    ReadingKind.WIDTH: Spread.CALIPERS,
    ReadingKind.DEPTH: Spread.CALIPERS,
    ReadingKind.GIRTH: Spread.CALIPERS,
    ReadingKind.SCALE: Spread.SCALE,
    ReadingKind.SCALE_APART: Spread.SCALE,
}
"""What a reading's own error counts as; all others place the sections beside each other."""
_LIKENESS: Final = (ReadingKind.LIKENESS_X, ReadingKind.LIKENESS_Y)
_LEAN: Final = (ReadingKind.LEAN_X, ReadingKind.LEAN_Y)
"""By axis: what is expected of a thing's form."""
_AT_ONCE: Final = 32
"""So many changes of placing are followed together: few enough to keep in memory, many enough to read the moves seldom."""
_NOTHING_MM: Final = 1e-5
"""Smaller movements of a place are left out."""


@noun
class Placing:
    """The sections' places and the skin's places that follow them.

    Attributes
    ----------
    sections : tuple of k Section
    shares : (k, j) float64
        Share of each section in each place.
    moves : tuple of k Band
        Outward movement of each place for a change of 1 of each section's placing, ``(5, j)``.
    follows : tuple of m Band
        Outward movement of each place, mm, for a change of 1 of each reading, ``(1, j)``.
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
        """The rows of each section's tracing error, ``(q, j)``, mm, then those of what pooling takes for one; ``waves`` is of unit variance.

        Of pooled outlines the form alone is shared: where each lies, and how wide and deep it is, is its own.
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
        """A part of each of several bands together, as whole rows."""
        rows = np.zeros((len(bands[0].values), len(self.places.z_mm)))
        for k in np.flatnonzero(parts).tolist():
            rows[:, bands[k].columns] += parts[k] * bands[k].values
        return rows

    def readings(self, *, placing_mm: float | None = None) -> Iterator[tuple[Spread, Floats]]:
        """For each reading what it counts as and the row of its own error, ``(1, j)``, mm; `unread` is left out.

        A stated ``placing_mm``, along x and along y for every section, takes the
        place of what the readings say of how sections lie beside each other.
        """
        stated = placing_mm is not None
        alone = self._alone()
        for m, reading in enumerate(self.posterior.readings):
            kind = _KINDS.get(reading.kind, Spread.PLACING)
            if reading.kind not in alone and not (stated and kind is Spread.PLACING):
                yield kind, self._own_error(m)
        if placing_mm is not None:
            for share in self.shares:
                yield Spread.PLACING, _clean(placing_mm * self.places.directions.T * share)
        elif not self.posterior.readings:  # how sure the placing is is known, but not what it rests on
            values, vectors = np.linalg.eigh(self.posterior.covariance)
            roots = np.sqrt(np.clip(values, 0.0, None)) * vectors
            changes = roots.T.reshape(len(roots), len(self.moves), PARAMETERS)
            yield Spread.PLACING, _clean(_moved(changes, self.moves, places=len(self.places.z_mm)))

    def unread(self) -> Iterator[Floats]:
        """A row for each expectation of the thing's form that alone places its sections, ``(1, j)``, mm.

        Its spread is its own, a median, times a factor which is not known
        (`cradle.sections.reading_spreads.UNREAD_TAIL`). Where something was read
        beside it, it counts with the median alone, among the `readings`.
        """
        alone = self._alone()
        for m, reading in enumerate(self.posterior.readings):
            if reading.kind in alone:
                yield self._own_error(m)

    def _alone(self) -> set[ReadingKind]:
        """The expectations along axes of which nothing was read."""
        known = self.posterior.lean_known
        return {
            kind for kinds in (_LIKENESS, _LEAN) for kind, read in zip(kinds, known, strict=True) if not read
        }

    def _own_error(self, m: int) -> Floats:
        """The row of reading m's own error, ``(1, j)``, mm."""
        follows = self.follows[m]
        row = np.zeros((1, len(self.places.z_mm)))
        row[:, follows.columns] = -self.posterior.readings[m].own * follows.values
        return _clean(row)

    def instrument(self) -> Floats:
        """The row of the calipers' own error, the same in all their readings, ``(1, j)``, mm."""
        row = np.zeros((1, len(self.places.z_mm)))
        for m, reading in enumerate(self.posterior.readings):
            if reading.kind in CALIPERS:
                axis = CALIPERS.index(reading.kind)
                length = float(np.ptp(self.sections[reading.section].points_mm[:, axis]))
                follows = self.follows[m]
                row[:, follows.columns] -= rectangular(caliper_limit_mm(length)) * follows.values
        return _clean(row)

    def heights(self, *, heights_mm: float) -> Iterator[Floats]:
        """For each section the row of its height's error, ``(1, j)``, mm.

        A section cut higher than noted shows an outline that belongs higher
        up, and is placed by what profiles read at the height that was noted.
        """
        for k in range(len(self.sections)):
            row = (self.places.normals[:, 2] * self.shares[k])[None]
            for m, reading in enumerate(self.posterior.readings):
                if reading.section == k and reading.kind is ReadingKind.HEIGHT:
                    follows = self.follows[m]
                    row[:, follows.columns] += follows.values
            yield _clean(heights_mm * row)


def placing_of(
    places: Places, sections: Sequence[Section], *, posterior: Posterior, pooling: Pooling | None = None
) -> Placing:
    """The sections' places, and how the skin's places follow them: straight between heights, the end's own beyond."""
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
