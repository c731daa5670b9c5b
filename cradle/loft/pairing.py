"""Which point of an outline belongs to which point of another that lies close to it.

Unlike the matching of whole sections this looks at distances alone, where the
outlines lie: the way round both on which partners lie nearest and look the
same way (dynamic time warping: Sakoe & Chiba, IEEE Trans. ASSP 26(1), 1978,
43-49; of contours: Fuchs, Kedem & Uselton, CACM 20(10), 1977, 693-702).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cradle.geometry import ring as plane
from cradle.geometry.arrays import Floats, Ints
from cradle.sections.matching import Correspondence

_SAMPLES = 240
"""Points of each outline that are paired."""
_OUTLOOK = 4.0
"""How many times the outlines' distance a half turn between outward directions counts for."""
_EVEN = 1e-4
"""Share of an even map that makes the pairing strictly rising."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Pairing:
    """Pairs of points of two outlines, in order once round both.

    Attributes
    ----------
    here, there : (p, 2) float64
        The points of each pair.
    map : Correspondence
        From positions (shares of the perimeter from the first point) to positions.
    """

    here: Floats
    there: Floats
    map: Correspondence

    def between(self, part: float) -> Floats:
        """The outline at a part of the way from one to the other, straight between partners, ``(p, 2)``."""
        ring = (1 - part) * self.here + part * self.there
        moves = np.abs(ring - np.roll(ring, 1, axis=0)).max(axis=1) > 0
        out: Floats = ring[moves]
        return out


def pairings(here: Sequence[Floats], there: Sequence[Floats]) -> list[Pairing]:
    """The pairings of many counter-clockwise outlines with one other each, ``(n, 2)`` and ``(m, 2)``."""
    a = [plane.resample(ring, count=_SAMPLES) for ring in here]
    b = [plane.resample(ring, count=_SAMPLES) for ring in there]
    costs: list[Floats] = []
    firsts: list[tuple[int, int]] = []
    for low, high in zip(a, b, strict=True):
        apart = ((low[:, None] - high[None]) ** 2).sum(axis=2)
        reach = float(np.median(apart.min(axis=1))) + 1e-9
        cost = apart + _OUTLOOK**2 * reach * (1 - _headings(low) @ _headings(high).T) / 2
        firsts.append(divmod(int(cost.argmin()), _SAMPLES))
        costs.append(np.roll(cost, (-firsts[-1][0], -firsts[-1][1]), axis=(0, 1)))
    found = []
    for low, high, begun, way in zip(a, b, firsts, _paths(np.array(costs)), strict=True):
        i, j = way[0] + begun[0], way[1] + begun[1]
        found.append(
            Pairing(
                here=low[i % _SAMPLES],
                there=high[j % _SAMPLES],
                map=_rising(i / _SAMPLES, j / _SAMPLES),
            )
        )
    return found


def _headings(ring: Floats) -> Floats:
    """Unit vectors along a ring at each point, ``(n, 2)``."""
    chord = np.roll(ring, -1, axis=0) - np.roll(ring, 1, axis=0)
    return chord / np.maximum(np.hypot(chord[:, 0], chord[:, 1]), 1e-12)[:, None]


def _paths(cost: Floats) -> list[tuple[Ints, Ints]]:
    """The cheapest way once round both rings of each pair, from the first samples; the last step back left out.

    Every step moves on by one sample on one ring or on both; cells of one
    diagonal are reckoned together, for all pairs. A step on both counts twice,
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
