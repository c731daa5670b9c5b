"""Which points of one ring belong to which of a ring above it: the band of triangles between the two.

A band uses the points of both rings and no others (Christiansen & Sederberg,
SIGGRAPH 1978, from memory). It is kept as pairs of points, one below and one
above: each is followed by one that has moved on along one of the rings.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

import numpy as np

from cradle.geometry.arrays import Floats, Ints, following
from cradle.geometry.ring import arc_positions
from cradle.geometry.vectors import left_of, unit

Band: TypeAlias = tuple[Ints, Ints]
"""Numbers of the points of a lower ring (m points) and of its upper one (n points) that are paired, ``(m + n,)`` each.

Pair k is followed by pair k + 1, and the last by the first.
"""

_SPECK_MM = 0.2
"""Details smaller than this do not change the outward directions of a ring."""
_SAMPLES = 24
"""About this many points of a ring tell how far it lies from the one below."""
_OUTLOOK_DECIMALS = 8
"""Outward directions are rounded to this, so that equal rings have equal ones wherever they stand in a list."""
_FAR_MM = 1e100
"""Coordinate of the stop after each ring: so far off that no way goes on to it."""
_OUTLOOK = 10.0
"""Weight of outward directions, in distances between the two rings, against how far points lie apart: at 10 corners are paired with corners."""


def tilings(lows: Sequence[Floats], highs: Sequence[Floats], *, moves_mm: Floats) -> list[Band]:
    """The band between each of many lower rings and the ring above it.

    Of the two ways to go on from a pair, the one is taken whose points are
    nearer and look the same way: a corner is paired with a corner even where
    the rings lie far apart. All pairs of rings go forward together, one step
    at a time.

    Parameters
    ----------
    lows, highs : (r,) rings
    moves_mm : (r, 2) float64
        How far parts of each lower ring may have moved up to the upper one, while others stay: the distance of a lower
        point from an upper one is the least on its way.
    """
    if not lows:
        return []
    low_steps, high_steps, turned = [], [], []
    outlooks = zip(_outlooks(lows), _outlooks(highs), strict=True)
    for low, high, move, (low_out, high_out) in zip(lows, highs, moves_mm, outlooks, strict=True):
        sample = high[:: max(1, len(high) // _SAMPLES)]
        away = _unmoved(low.T[:, None] - sample.T[:, :, None], move)
        apart = (away**2).sum(axis=0).min(axis=1)
        reach = _OUTLOOK * float(np.sqrt(np.median(apart))) + 1e-3
        a = np.column_stack([low, reach * low_out])
        b = np.column_stack([high, reach * high_out])
        first = int(np.argmin((_unmoved((a[0] - b).T, move) ** 2).sum(axis=0)))
        turned.append(first)
        low_steps.append(a)
        high_steps.append(np.concatenate([b[first:], b[:first]]))
    path = _ways_round(low_steps, high_steps, moves_mm=moves_mm)
    return [
        (way[0] % len(low), (way[1] + first) % len(high))
        for way, low, high, first in zip(path, lows, highs, turned, strict=True)
    ]


def _unmoved(away_mm: Floats, move_mm: Floats) -> Floats:
    """Ways from upper points to lower ones, ``(2 or more, ...)``, each lower point slid along the move to where it is nearest.

    The first two coordinates are x and y; the given ways are changed.
    """
    if not move_mm.any():
        return away_mm
    length = np.hypot(*move_mm)
    x, y = move_mm / np.where(length > 0, length, 1.0)
    along = np.clip(-(x * away_mm[0] + y * away_mm[1]), 0.0, length)
    away_mm[0] += along * x
    away_mm[1] += along * y
    return away_mm


def _ways_round(lows: Sequence[Floats], highs: Sequence[Floats], *, moves_mm: Floats) -> list[Ints]:
    """For each pair of rings, ``(m, 4)`` and ``(n, 4)``, the way once round both from their first points, ``(2, m + n)``.

    Every step moves on along the ring whose next point is nearer to the present point of the other ring.
    """
    (a, first_low), (b, first_high) = _end_to_end(lows), _end_to_end(highs)
    points = np.concatenate([a, b], axis=1)
    first_high = first_high + a.shape[1]
    # of each pair of rings: the next point below, the present one above, the present one below, the next above
    at = np.stack([first_low + 1, first_high, first_low, first_high + 1])  # (4, k) int
    counts = [len(low) + len(high) for low, high in zip(lows, highs, strict=True)]
    path = np.zeros((max(counts), len(lows)), dtype=np.int64)  # where the lower ring stands at each step
    for step in path:
        step[:] = at[2]
        seen = points.take(at, axis=1, mode="clip")  # pairs that are all the way round go on without effect
        apart = seen[:, ::2] - seen[:, 1::2]
        apart = _unmoved(apart, moves_mm.T)
        apart *= apart
        below, above = np.add.reduce(apart, axis=0)
        on_low = below <= above
        at[::2] += on_low
        at[1::2] += ~on_low
    path -= first_low
    steps = np.arange(len(path))
    return [np.stack([path[:n, k], steps[:n] - path[:n, k]]) for k, n in enumerate(counts)]


def _end_to_end(rings: Sequence[Floats]) -> tuple[Floats, Ints]:
    """Rings one after the other, each closed by its first point and a stop far away, ``(4, p)``, and where each begins."""
    counts = np.array([len(ring) + 2 for ring in rings])
    stop = np.full((1, 4), _FAR_MM)
    closed = np.concatenate([part for ring in rings for part in (ring, ring[:1], stop)])
    return np.ascontiguousarray(closed.T), np.cumsum(counts) - counts


def _outlooks(rings: Sequence[Floats]) -> list[Floats]:
    """Unit vectors that point outward from each point of each ring, ``(n, 2)``, little specks smoothed away."""
    counts = np.array([len(ring) for ring in rings])
    lengths = [arc_positions(ring) for ring in rings]
    around = np.repeat([length[-1] for length in lengths], counts)
    # all rings on one line, one after the other, so that one look-up serves them all
    ends = np.cumsum([length[-1] + 1.0 for length in lengths])
    begin = np.concatenate([[0.0], ends[:-1]])
    line = np.concatenate([length + start for length, start in zip(lengths, begin, strict=True)])
    points = np.concatenate([part for ring in rings for part in (ring, ring[:1])])
    here, begin = np.concatenate([length[:-1] for length in lengths]), np.repeat(begin, counts)

    def at(shift_mm: float) -> Floats:
        wanted = begin + (here + shift_mm) % around
        return np.column_stack([np.interp(wanted, line, points[:, axis]) for axis in (0, 1)])

    outward = np.round(-left_of(unit(at(_SPECK_MM) - at(-_SPECK_MM))), _OUTLOOK_DECIMALS)
    return np.split(outward, np.cumsum(counts)[:-1])


def facets(band: Band) -> Ints:
    """The triangles of a band, ``(m + n, 3)``: of each pair the lower point, the point that is moved on to, the upper one."""
    low, high = band
    next_low, next_high = following(low), following(high)
    return np.column_stack([low, np.where(next_low != low, next_low, next_high), high])
