"""Which point of an outline belongs to which point of another that lies close to it.

Unlike the matching of whole sections this looks at distances alone, where the
outlines lie: the way round both on which partners lie nearest and look the
same way (dynamic time warping: Sakoe & Chiba, IEEE Trans. ASSP 26(1), 1978,
43-49; of contours: Fuchs, Kedem & Uselton, CACM 20(10), 1977, 693-702).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cradle.geometry import ring as plane
from cradle.geometry.arrays import Floats, Ints, following, preceding
from cradle.geometry.vectors import lengths, unit
from cradle.matching.matching import Correspondence
from cradle.matching.rings import common_rings

_SAMPLES = 240
"""Points of each outline that are paired."""
_OUTLOOK = 4.0
"""A half turn between directions costs as much as a distance of this many times that of the outlines."""
_EVEN = 1e-4
"""This share of an even map is mixed in, so that the pairing rises strictly."""
_SPACED = 1e-6
"""This share of even spacing is mixed into positions on a ring, so that points at one place stay apart."""
_SAME_MM = 2e-3
"""Columns that come nearer to one another than this meet."""


def pairings(here: Sequence[Floats], there: Sequence[Floats]) -> list[Correspondence]:
    """For each pair of counter-clockwise outlines, ``(n, 2)`` and ``(m, 2)``, the map between positions on them that belong together.

    Positions are shares of the perimeter from the first point.
    """
    a = [plane.resample(ring, count=_SAMPLES) for ring in here]
    b = [plane.resample(ring, count=_SAMPLES) for ring in there]
    costs: list[Floats] = []
    firsts: list[tuple[int, int]] = []
    for low, high in zip(a, b, strict=True):
        x, y = (np.subtract.outer(low[:, axis], high[:, axis]) for axis in (0, 1))
        apart = x**2 + y**2
        reach = float(np.median(apart.min(axis=1))) + 1e-9
        cost = apart + _OUTLOOK**2 * reach * (1 - _headings(low) @ _headings(high).T) / 2
        firsts.append(divmod(int(cost.argmin()), _SAMPLES))
        costs.append(np.roll(cost, (-firsts[-1][0], -firsts[-1][1]), axis=(0, 1)))
    found = []
    for begun, (i, j) in zip(firsts, _paths(np.array(costs)), strict=True):
        found.append(_rising((i + begun[0]) / _SAMPLES, (j + begun[1]) / _SAMPLES))
    return found


def _headings(ring: Floats) -> Floats:
    """Unit vectors along a ring at each point, ``(n, 2)``."""
    return unit(following(ring) - preceding(ring))


def _paths(cost: Floats) -> list[tuple[Ints, Ints]]:
    """The cheapest way once round both rings of each pair, from the first samples; the last step back left out.

    Every step moves on by one sample on one ring or on both; cells of one
    diagonal are counted together, for all pairs. A step on both counts twice,
    so that the way costs the same whichever ring is taken first.

    Parameters
    ----------
    cost : (s, n, n) float64
        What it costs to pair two samples.
    """
    pairs, count, _ = cost.shape
    padded = np.pad(cost, ((0, 0), (0, 1), (0, 1)), mode="wrap")
    best = np.full((2 * count + 1, pairs, count + 2), np.inf)  # row: diagonal i + j; column: i + 1
    best[0, :, 1] = 0.0
    for diagonal in range(1, 2 * count + 1):
        low, high = max(0, diagonal - count), min(count, diagonal) + 1
        i = np.arange(low, high)
        price = padded[:, i, diagonal - i]
        least = np.minimum(best[diagonal - 1, :, low + 1 : high + 1], best[diagonal - 1, :, low:high])
        if diagonal > 1:
            least = np.minimum(least, best[diagonal - 2, :, low:high] + price)
        best[diagonal, :, low + 1 : high + 1] = least + price
    lane = np.arange(pairs)
    i, j = np.full(pairs, count), np.full(pairs, count)
    path: list[Ints] = []
    while (i + j).any():
        diagonal = i + j
        both = np.where((i > 0) & (j > 0), best[diagonal - 2, lane, i] + padded[lane, i, j], np.inf)
        down = np.where(i > 0, best[diagonal - 1, lane, i], np.inf)
        left = np.where(j > 0, best[diagonal - 1, lane, i + 1], np.inf)
        going = diagonal > 0
        by_both = going & (both <= down) & (both <= left)
        by_down = going & ~by_both & (down <= left)
        i = i - (by_both | by_down)
        j = j - (by_both | (going & ~by_both & ~by_down))
        path.append(np.array([i, j]))
    ways = np.array(path[::-1])  # (steps, 2, s)
    found = []
    for k in lane:
        way = ways[:, :, k]
        started = np.flatnonzero(way.sum(axis=1) == 0)[-1]
        found.append((way[started:, 0], way[started:, 1]))
    return found


def _rising(at: Floats, to: Floats) -> Correspondence:
    """The strictly rising map through pairs of positions that rise or rest, its first within [0, 1)."""
    drift = to[0] - at[0]
    u = 0.5 * ((at - at[0]) + (to - to[0]))  # rises with every step
    at = (1 - _EVEN) * at + _EVEN * (at[0] + u)
    to = (1 - _EVEN) * to + _EVEN * (at[0] + drift + u)
    turn = np.floor(at)
    order = np.argsort(at - turn, kind="stable")
    return Correspondence(here=(at - turn)[order], there=(to - turn)[order])


def paired_columns(lower: Floats, upper: Floats, *, to: Correspondence) -> Floats:
    """Two outlines with a point each in every column, ``(2, n, 2)``, mm: all vertices of both.

    Columns that all but meet on one of them do meet.

    Parameters
    ----------
    lower, upper : (n, 2), (m, 2) float64
    to : Correspondence
        From the positions on the lower to those on the upper.
    """
    outlines = (lower, upper)
    rings = common_rings(outlines, positions=[positions_on_ring(ring) for ring in outlines], maps=[to])
    return np.array([_gathered(ring, outline=outline) for ring, outline in zip(rings, outlines, strict=True)])


def positions_on_ring(ring: Floats) -> Floats:
    """Where a ring's points lie on it: shares of its perimeter, strictly rising, ``(n + 1,)``."""
    arcs = plane.arc_positions(ring)
    return (1 - _SPACED) * arcs / arcs[-1] + _SPACED * np.linspace(0, 1, len(arcs))


def _gathered(ring: Floats, *, outline: Floats) -> Floats:
    """The ring with columns that all but meet moved to one place: to a vertex of the outline, if one of them stands on one."""
    fresh = lengths(ring - preceding(ring)) >= _SAME_MM
    if fresh.all() or not fresh.any():
        return ring
    first = int(np.flatnonzero(fresh)[0])
    group = np.roll(np.cumsum(np.roll(fresh, -first)) - 1, first)
    given = {tuple(point) for point in outline.tolist()}
    chosen = ring[np.flatnonzero(fresh)[np.argsort(group[np.flatnonzero(fresh)], kind="stable")]]
    for at in np.flatnonzero([tuple(point) in given for point in ring.tolist()])[::-1]:
        chosen[group[at]] = ring[at]
    return chosen[group]
