"""Influences: how far each place of the thing's skin moves when one quantity is off by its spread.

All are linear: the deviation at place j is mean_j + Σ_q influence_qj · ξ_q
with independent ξ of mean 0 and standard deviation 1. What is common, the
scale of the drawings, the calipers' own error, the printer, is one quantity
for all its places.

A deviation along an outline is a periodic smooth random function, a Fourier
series whose shares follow exp(−(2π m l / L)² / 2) for m waves around a way
of length L: correlation exp(−d² / 2l²) over a distance d (the series of the
Gaussian covariance, any text on random fields).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from cradle.fit.contact_points import Places
from cradle.fit.interpolation_error import between_mm
from cradle.fit.row_blocks import Band, Banded, banded, trimmed
from cradle.fit.uncertainties import (
    Spread,
    caliper_limit_mm,
    inside_error,
    placing_mm,
    reading_mm,
    rectangular,
)
from cradle.geometry.arrays import Bools, Floats, frozen
from cradle.geometry.ring import size
from cradle.project.spec import MeasuredSource, PrinterSpec, SectionSpec, SpreadSpec
from cradle.sections.section import Profiles, Section

TRACE_LENGTH_MM: Final = 12.0
"""Distance over which a tracing error keeps its direction (common practice, no source)."""
BETWEEN_WAVES: Final = 6.0
"""The shape between sections deviates smoothly over the way round divided by this."""
_MOST_WAVES: Final = 20
_PROFILED: Final = 0.7
"""Part of the spread between sections that a side profile takes away where it was read."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Influences:
    """Deviations of all places as a linear function of independent quantities.

    Attributes
    ----------
    matrix : (q, j) Banded
        Outward movement of place j, mm, when quantity q is one spread off.
    mean_mm : (j,) float64
        What is expected.
    spreads : tuple of q Spread
        What each quantity belongs to.
    rectangular : (q,) bool
        Uniform between ±√3 spreads; the others are normal.
    sections : (k, j) float64
        Share of each section in each place.
    """

    matrix: Banded
    mean_mm: Floats
    spreads: tuple[Spread, ...]
    rectangular: Bools
    sections: Floats

    def of(self, spread: Spread) -> Bools:
        """Which quantities belong to a spread, ``(q,)``."""
        return np.array([s is spread for s in self.spreads], dtype=bool)


def influences(
    places: Places,
    sections: Sequence[Section],
    *,
    specs: Sequence[SectionSpec],
    spread: SpreadSpec,
    printer: PrinterSpec,
    bows_per_mm: Floats,
    profiles: Profiles | None = None,
) -> Influences:
    """The influences of everything that was measured.

    Parameters
    ----------
    places : Places
    sections : sequence of Section
        Heights rising.
    specs : sequence of SectionSpec
        What was given for each.
    spread : SpreadSpec
    printer : PrinterSpec
        The pocket is taken to be widened by its ``inside_error_mm``.
    bows_per_mm : (k − 1,) float64
        See `cradle.fit.interpolation_error.bows`.
    profiles : Profiles, optional
    """
    heights = np.array([s.height_mm for s in sections])
    hats = section_shares(places, heights)
    blocks: list[tuple[Band, Spread, bool]] = []
    plain = np.linalg.norm(places.normals[:, :2], axis=1)
    waves = _waves(places.along, places.round_mm, length_mm=TRACE_LENGTH_MM)
    own = np.zeros(len(places.along))
    scaled = np.zeros(len(places.along))
    for k, (section, spec) in enumerate(zip(sections, specs, strict=True)):
        trace = spread.trace_mm * waves * plain * hats[k]
        stretch, readings = _readings(places, section, spec)
        for stretched, ends, length in stretch:
            trace += np.outer(-spread.trace_mm * waves[:, ends].sum(axis=1) / length, stretched * hats[k])
        blocks.append((trimmed(trace), Spread.TRACE, False))
        for stretched, length in readings:
            read = reading_mm(spread) / length * (stretched * hats[k])[None]
            blocks.append((trimmed(read), Spread.CALIPERS, False))
            own += rectangular(caliper_limit_mm(length)) / length * stretched * hats[k]
        if not readings:
            scaled += _stretched(places, section)[2] * hats[k]
        u = placing_mm(spread, section.placed_by)
        blocks.append((trimmed(u * places.directions.T * hats[k]), Spread.PLACING, False))
        tilt = places.normals[:, 2] * hats[k]
        blocks.append((trimmed(spread.heights_mm * tilt[None]), Spread.HEIGHTS, False))
    blocks.append((trimmed(spread.scale_percent / 100 * scaled[None]), Spread.SCALE, False))
    blocks.append((trimmed(own[None]), Spread.CALIPERS, True))
    blocks += _between(places, heights, spread=spread, bows_per_mm=bows_per_mm, profiles=profiles)
    believed = inside_error(printer, spread)
    everywhere = np.ones((1, len(places.along)))
    blocks.append((trimmed(believed.spread_mm * everywhere), Spread.INSIDE, False))
    blocks.append((trimmed(spread.repeat_mm * everywhere), Spread.REPEAT, False))
    used = [block for block in blocks if block[0].values.size]
    if not used:  # every spread is 0: one quantity without influence keeps the arithmetic whole
        used = [(trimmed(0 * everywhere), Spread.REPEAT, False)]
    return Influences(
        matrix=banded((band for band, _, _ in used), width=len(places.along)),
        mean_mm=frozen(np.full(len(places.along), believed.expected_mm - printer.inside_error_mm)),
        spreads=tuple(name for band, name, _ in used for _ in band.values),
        rectangular=np.array([flat for band, _, flat in used for _ in band.values], dtype=bool),
        sections=frozen(hats),
    )


def section_shares(places: Places, section_heights_mm: Floats) -> Floats:
    """Share of each section in each place, ``(k, j)``: straight between heights, the end's own beyond."""
    at = places.heights_mm[places.levels]
    count = len(section_heights_mm)
    return np.array([np.interp(at, section_heights_mm, row) for row in np.eye(count)])


def _waves(along: Floats, round_mm: float, *, length_mm: float) -> Floats:
    """A smooth random function of unit variance: one row a wave's cosine or sine, ``(q, j)``."""
    m = np.arange(_MOST_WAVES + 1)
    power = np.exp(-0.5 * (2 * np.pi * m * length_mm / round_mm) ** 2)
    power[1:] *= 2
    power /= power.sum()
    m, power = m[power > 1e-4], power[power > 1e-4]
    phase = 2 * np.pi * m[:, None] * along
    rows = np.sqrt(power)[:, None]
    return np.concatenate([rows * np.cos(phase), (rows * np.sin(phase))[1:]])


def _stretched(places: Places, section: Section) -> tuple[Floats, Floats, Floats]:
    """Outward movement of the places, mm per 1 of stretch along x, along y and both, about the section's middle."""
    low, high = section.points_mm.min(axis=0), section.points_mm.max(axis=0)
    r = places.points_mm[:, :2] - (low + high) / 2
    x, y = r[:, 0] * places.normals[:, 0], r[:, 1] * places.normals[:, 1]
    return x, y, x + y


def _readings(
    places: Places, section: Section, spec: SectionSpec
) -> tuple[list[tuple[Floats, list[int], float]], list[tuple[Floats, float]]]:
    """What the caliper readings do: they undo the trace's own error in width and depth, and add theirs.

    Returns
    -------
    stretch : list of (stretch (j,), places at both ends, length)
        One for each axis whose traced extent was replaced by a reading.
    readings : list of (stretch (j,), length)
        One for each reading.
    """
    x, y, both = _stretched(places, section)
    lengths = size(section.points_mm)
    if isinstance(spec.source, MeasuredSource):
        given = [True, True]
    else:
        given = [spec.width_mm is not None, spec.depth_mm is not None]
    axes = [(0, x), (1, y)] if all(given) else [(a, both) for a in (0, 1) if given[a]]
    at = places.heights_mm[places.levels]
    nearest = np.flatnonzero(np.abs(at - section.height_mm) <= np.abs(at - section.height_mm).min() + 1e-9)
    own = places.points_mm[nearest]
    stretch, readings = [], []
    for axis, stretched in axes:
        ends = [int(nearest[own[:, axis].argmin()]), int(nearest[own[:, axis].argmax()])]
        stretch.append((stretched, ends, lengths[axis]))
        readings.append((stretched, lengths[axis]))
    return stretch, readings


def _between(
    places: Places,
    heights: Floats,
    *,
    spread: SpreadSpec,
    bows_per_mm: Floats,
    profiles: Profiles | None,
) -> list[tuple[Band, Spread, bool]]:
    if len(heights) < 2:
        return []
    at, gap = between_mm(
        places.heights_mm,
        section_heights_mm=heights,
        bows_per_mm=bows_per_mm,
        half_way_mm=spread.between_mm,
    )
    amount = at[places.levels] * _unprofiled(places, profiles)
    waves = _waves(places.along, places.round_mm, length_mm=places.round_mm / BETWEEN_WAVES)
    which = gap[places.levels]
    return [(trimmed(waves * amount * (which == g)), Spread.BETWEEN, False) for g in range(len(heights) - 1)]


def _unprofiled(places: Places, profiles: Profiles | None) -> Floats:
    """Share of the spread between sections that side profiles leave, ``(j,)``."""
    left = np.ones(len(places.along))
    if profiles is None:
        return left
    sides = {"front": (1, -1), "back": (1, 1), "left": (0, -1), "right": (0, 1)}
    z = places.points_mm[:, 2]
    for name, (axis, sign) in sides.items():
        profile = getattr(profiles, name)
        if profile is None:
            continue
        read = (z >= profile[0, 0]) & (z <= profile[-1, 0])
        faces = np.clip(sign * places.normals[:, axis], 0.0, None) ** 2
        left *= 1 - _PROFILED * faces * read
    return left
