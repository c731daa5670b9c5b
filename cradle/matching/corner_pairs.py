"""Which corner of one ring belongs to which corner of the next.

An alignment of two sequences with a price for every corner left unpaired, cut
open at the widest stretch without a corner on either ring. Corners that turn
to opposite sides, or lie far apart by the map found so far, are never paired.
"""

from __future__ import annotations

import numpy as np

from cradle.geometry.arrays import Floats, Ints
from cradle.matching.matching_ring import Trace

_WINDOW = 0.15
"""Part of the perimeter within which partners lie by the map found so far."""
_UNPAIRED_COST = 0.15
"""Price of a corner left unpaired, against a squared distance in the plain frame."""


def corner_pairs(here: Trace, there: Trace, *, expected: Floats) -> Ints:
    """Pairs (index among the corners here, index among those there), ``(p, 2)``, rising round the ring here.

    Parameters
    ----------
    expected : (c,) float64
        Positions here that the map found so far gives to the corners there, 0 to 1.
    """
    if not (len(here.corners) and len(there.corners)):
        return np.empty((0, 2), dtype=np.int64)
    first = here.positions[here.corners]
    both = np.unique(np.concatenate([first, expected]))
    gaps = np.diff(np.append(both, both[0] + 1))
    widest = int(gaps.argmax())
    cut = both[widest] + gaps[widest] / 2
    a = np.argsort(np.mod(first - cut, 1.0), kind="stable")
    b = np.argsort(np.mod(expected - cut, 1.0), kind="stable")
    way = here.plain[here.corners[a]][:, None] - there.plain[there.corners[b]][None]
    cost = (way**2).sum(axis=2) + 0.5 * (1 - here.headings[a] @ there.headings[b].T)
    shift = first[a][:, None] - expected[b][None]
    shift = shift - np.round(shift)
    opposite = (here.turns_deg[a] > 0)[:, None] != (there.turns_deg[b] > 0)[None]
    cost[opposite | (np.abs(shift) > _WINDOW)] = np.inf
    pairs = _aligned(cost)
    found = np.column_stack([a[pairs[:, 0]], b[pairs[:, 1]]])
    return found[np.argsort(found[:, 0], kind="stable")]


def _aligned(cost: Floats) -> Ints:
    """Pairs (row, column), rising in both, of least total cost, with a price for every row and column left unpaired."""
    rows, columns = cost.shape
    price = _UNPAIRED_COST
    ramp = price * np.arange(columns + 1)
    best = np.empty((rows + 1, columns + 1))
    best[0] = ramp
    for row in range(rows):
        step = best[row] + price
        step[1:] = np.minimum(step[1:], best[row, :-1] + cost[row])
        best[row + 1] = np.minimum.accumulate(step - ramp) + ramp
    pairs = []
    row, column = rows, columns
    while row and column:
        here = best[row, column]
        if here >= best[row - 1, column - 1] + cost[row - 1, column - 1] - 1e-12:
            row, column = row - 1, column - 1
            pairs.append((row, column))
        elif here >= best[row - 1, column] + price - 1e-12:
            row -= 1
        else:
            column -= 1
    return np.array(pairs[::-1], dtype=np.int64).reshape(-1, 2)
