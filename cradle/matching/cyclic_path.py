"""The cheapest way round two rings at once.

A cyclic dynamic programme over evenly spaced samples finds the monotone path
of least cost in position and direction, from many starts at once: the best
even shift of one ring along the other, and all shifts near it. In arrays that
is cheaper than the divide and conquer over all starts of Maes (Information
Processing Letters 35, 1990, 73-78; from memory). Steps between 1:3 and 3:1
keep the path strictly monotone; cost by position and direction follows the
curve alignment of Sebastian, Klein & Kimia (IEEE PAMI 25(1), 2003, 116-125;
from memory); joining rings by a least-cost path goes back to Fuchs, Kedem &
Uselton (CACM 20(10), 1977, 693-702).
"""

from __future__ import annotations

import numpy as np

from cradle.geometry.arrays import Floats, Ints

_BAND = 16
"""How far, in samples, a path may stray from an even one."""
_STARTS = 12
"""How far, in samples, a path may start from where the best even one does."""
_DIRECTION_WEIGHT = 0.25
"""Cost of a right angle between directions; a distance of one radius costs 1."""
_STRETCH_COST = 0.002
"""Cost of a step of unequal lengths, so that featureless stretches stay even."""
_STEPS = ((1, 1), (1, 2), (2, 1), (1, 3), (3, 1))
"""How far a step goes on the first and on the second ring."""


def costs(points: Floats, headings: Floats) -> Floats:
    """Cost of pairing each sample of a ring with each of the next, ``(k − 1, m, m)``."""
    here, there = points[:-1], points[1:]
    squares = (here**2).sum(axis=2)[:, :, None] + (there**2).sum(axis=2)[:, None, :]
    apart = np.maximum(squares - 2 * here @ there.transpose(0, 2, 1), 0.0)
    return apart + _DIRECTION_WEIGHT * (1 - headings[:-1] @ headings[1:].transpose(0, 2, 1))


def least_paths(cost: Floats) -> list[Ints]:
    """The cyclic path of least cost for each pair, rows of (sample here, sample there, unwrapped).

    Cells are (row, start, stray): sample ``row`` here is paired with sample
    ``row + start + stray`` there. A step's cost is the mean cost of its two
    ends times its mean length, so that the reversed path costs the same.
    """
    pairs, count, _ = cost.shape
    width = 2 * _BAND + 1
    each = np.arange(count)
    even = cost[:, each, (each + each[:, None]) % count].sum(axis=2)  # (pairs, start): no stray at all
    starts = even.argmin(axis=1)[:, None] + np.arange(-_STARTS, _STARTS + 1)
    row = np.arange(count + 1)[:, None, None]
    there = row + starts[:, None, :, None] + np.arange(-_BAND, _BAND + 1)
    cells = np.zeros((pairs, count + 1, 2 * _STARTS + 1, width + 4))  # two cells of padding on either side
    cells[..., 2:-2] = cost[np.arange(pairs)[:, None, None, None], row % count, there % count]
    best = np.full(cells.shape, np.inf)
    best[:, 0, :, _BAND + 2] = 0.0
    for at in range(1, count + 1):
        here = cells[:, at, :, 2:-2]
        for a, b in _STEPS:
            if a > at:
                continue
            before = slice(2 - b + a, 2 - b + a + width)  # the cell before strays by a - b more
            total = cells[:, at - a, :, before] + here
            total *= (a + b) / 4
            total += best[:, at - a, :, before]
            if a != b:
                total += _STRETCH_COST * abs(a - b)
            np.minimum(best[:, at, :, 2:-2], total, out=best[:, at, :, 2:-2])
    least = best[:, count, :, _BAND + 2].argmin(axis=1)
    return [
        _walk(best[pair, :, at], cells[pair, :, at], start=int(starts[pair, at]))
        for pair, at in enumerate(least)
    ]


def _walk(best: Floats, cells: Floats, *, start: int) -> Ints:
    """The path of least cost, traced back from the last row, in rising order and without that row.

    ``best`` and ``cells`` are ``(count + 1, width + 4)``: least cost up to a cell, and its own.
    """
    row, column = len(best) - 1, _BAND + 2
    path = []
    while row > 0:
        choices = [
            (
                best[row - a, column - b + a]
                + (a + b) / 4 * (cells[row - a, column - b + a] + cells[row, column])
                + _STRETCH_COST * abs(a - b),
                a,
                b,
            )
            for a, b in _STEPS
            if a <= row and 0 <= column - b + a < best.shape[1]
        ]
        _, a, b = min(choices, key=lambda choice: choice[0])
        row, column = row - a, column - b + a
        path.append((row, row + start + column - _BAND - 2))
    return np.array(path[::-1], dtype=np.int64)
