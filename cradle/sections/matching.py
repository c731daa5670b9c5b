"""Which point of one ring belongs to which point of the next.

Terms: a *trace* is a ring made ready for matching: it starts at its point
farthest from its centroid and carries its arc length as a *position* from 0
to 1. A *correspondence* is a strictly rising map between the positions of two
traces.

Rings are compared after centring and after scaling away their size and
stretch (second moments of the area, symmetric root, so that a turn of both
changes nothing). A cyclic dynamic programme over 64 evenly spaced samples finds
the monotone path of least cost in position and direction, from many starts at
once: the best even shift of one ring along the other, and all shifts near it.
In arrays that is cheaper than the divide and conquer over all starts of Maes
(Information Processing Letters 35, 1990, 73-78; from memory). Steps between
1:3 and 3:1 keep the map strictly monotone; cost by position and direction
follows the curve alignment of Sebastian, Klein & Kimia (IEEE PAMI 25(1), 2003,
116-125; from memory); joining rings by a least-cost path goes back to Fuchs,
Kedem & Uselton (CACM 20(10), 1977, 693-702). The path is then refined between
samples, and corners are matched to corners by a second, small programme whose
pairs the map has to meet exactly.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cradle.geometry import ring as plane
from cradle.geometry.arrays import Floats, Ints

_SAMPLES = 64
"""Samples a ring in the cyclic programme."""
_BAND = 16
"""How far, in samples, a path may stray from an even one."""
_STARTS = 12
"""How far, in samples, a path may start from the best even one."""
_DIRECTION_WEIGHT = 0.25
"""Cost of a right angle between directions, against a distance of one radius squared."""
_STRETCH_COST = 0.002
"""Cost of a step of unequal lengths, so that featureless stretches stay even."""
_GRID = 256
"""Positions at which the refined map is kept."""
_DETAIL = 16.0
"""Waves round the ring above which refinement smooths the map."""
_REFINEMENTS = 8
_CORNER_DEG = 30.0
_CORNER_REACH = 0.0075
"""Part of the perimeter on either side over which a corner has to turn."""
_CORNER_WINDOW = 0.15
_UNPAIRED_COST = 0.15
_LEAST_SLOPE = 0.05
_PAIRS_AT_ONCE = 8


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Trace:
    """A ring made ready for matching.

    Attributes
    ----------
    points_mm : (n, 2) float64
        Counter-clockwise, the point farthest from the centroid first.
    positions : (n + 1,) float64
        Arc length from the first point as a part of the perimeter, 0 to 1.
    plain : (n + 1, 2) float64
        The closed ring without place, size and stretch: an ellipse becomes the unit circle.
    corners : (c,) int64
        Indices of the corners.
    turns_deg : (c,) float64
        How far each corner turns, positive to the left.
    headings : (c, 2) float64
        Unit vectors along the ring at the corners, in the plain frame.
    """

    points_mm: Floats
    positions: Floats
    plain: Floats
    corners: Ints
    turns_deg: Floats
    headings: Floats


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Correspondence:
    """Strictly rising map between positions, linear between knots, period 1.

    Attributes
    ----------
    here, there : (m,) float64
        Knots on the first ring, within [0, 1), and on the second, unwrapped.
    """

    here: Floats
    there: Floats

    def at(self, positions: Floats) -> Floats:
        """Positions on the second ring that belong to positions on the first, unwrapped."""
        turns = np.floor(positions)
        here = np.concatenate([self.here[-1:] - 1, self.here, self.here[:1] + 1])
        there = np.concatenate([self.there[-1:] - 1, self.there, self.there[:1] + 1])
        return turns + np.interp(positions - turns, here, there)

    def back(self, positions: Floats) -> Floats:
        """Positions on the first ring that belong to positions on the second, unwrapped."""
        turns = np.floor(positions - self.there[0])
        there = np.append(self.there, self.there[0] + 1)
        return turns + np.interp(positions - turns, there, np.append(self.here, self.here[0] + 1))


def trace(ring_mm: Floats) -> Trace:
    """The ring made ready for matching, whatever its first point and direction.

    Parameters
    ----------
    ring_mm : (n, 2) float64, mm
        A simple ring.
    """
    ring = plane.counter_clockwise(ring_mm)
    ring = np.roll(ring, -_start(ring), axis=0)
    lengths = plane.arc_positions(ring)
    positions = lengths / lengths[-1]
    positions[-1] = 1.0
    plain = (ring - plane.centroid(ring)) @ _unstretch(ring)
    closed = np.concatenate([plain, plain[:1]])
    corners, turns = _corners(ring, positions)
    ahead = along(closed, positions, positions[corners] + _CORNER_REACH)
    behind = along(closed, positions, positions[corners] - _CORNER_REACH)
    return Trace(
        points_mm=ring,
        positions=positions,
        plain=closed,
        corners=corners,
        turns_deg=turns,
        headings=_unit(_unit(ahead - plain[corners]) + _unit(plain[corners] - behind)),
    )


def along(closed: Floats, positions: Floats, at: Floats) -> Floats:
    """Points of a closed ring ``(n + 1, 2)`` at positions of period 1, ``(m, 2)``."""
    wanted = np.mod(at, 1.0)
    return np.column_stack([np.interp(wanted, positions, closed[:, axis]) for axis in (0, 1)])


def correspondences(traces: Sequence[Trace]) -> list[Correspondence]:
    """The correspondence from each trace to the next, ``k − 1`` of them."""
    sampled = [_samples(one, _SAMPLES) for one in traces]
    points = np.array([one[0] for one in sampled])
    headings = np.array([one[1] for one in sampled])
    out: list[Correspondence] = []
    for first in range(0, len(traces) - 1, _PAIRS_AT_ONCE):
        last = min(first + _PAIRS_AT_ONCE, len(traces) - 1)
        cost = _costs(points[first : last + 1], headings[first : last + 1])
        for pair, path in enumerate(_least_paths(cost), start=first):
            out.append(_refined(traces[pair], traces[pair + 1], path))
    return out


def _start(ring: Floats) -> int:
    """Index of the point farthest from the centroid; among equals the first by angle from x."""
    out = ring - plane.centroid(ring)
    reach = np.hypot(out[:, 0], out[:, 1])
    far = np.flatnonzero(reach >= reach.max() * (1 - 1e-7))
    angle = np.mod(np.arctan2(out[far, 1], out[far, 0]) + 1e-7, 2 * np.pi)
    return int(far[np.argmin(angle)])


def _unstretch(ring: Floats) -> Floats:
    """The symmetric matrix that turns the ring's second moments of area into the unit circle's."""
    here = ring - plane.centroid(ring)
    there = np.roll(here, -1, axis=0)
    cross = here[:, 0] * there[:, 1] - there[:, 0] * here[:, 1]
    both = here + there
    moments = np.einsum("i,ij,ik->jk", cross, here, here)
    moments = moments + np.einsum("i,ij,ik->jk", cross, there, there)
    moments = (moments + np.einsum("i,ij,ik->jk", cross, both, both)) / (12 * cross.sum())
    values, axes = np.linalg.eigh(moments)
    values = np.maximum(values, values.max() * 1e-6)
    return np.asarray((axes / (2 * np.sqrt(values))) @ axes.T)


def _corners(ring: Floats, positions: Floats) -> tuple[Ints, Floats]:
    """Indices of the corners and how far they turn, degrees: the local greatest turns above a limit."""
    closed = np.concatenate([ring, ring[:1]])
    at = positions[:-1]
    after = along(closed, positions, at + _CORNER_REACH) - ring
    before = ring - along(closed, positions, at - _CORNER_REACH)
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    turn = np.degrees(np.arctan2(cross, (before * after).sum(axis=1)))
    sharp = np.flatnonzero(np.abs(turn) >= _CORNER_DEG)
    kept = []
    for index in sharp:
        apart = np.abs(at[sharp] - at[index])
        near = np.minimum(apart, 1 - apart) < _CORNER_REACH
        if abs(turn[index]) >= np.abs(turn[sharp[near]]).max() - 1e-6:
            kept.append(index)
    chosen = np.array(kept, dtype=np.int64)
    return chosen, turn[chosen]


def _samples(one: Trace, count: int) -> tuple[Floats, Floats]:
    """``count`` evenly spaced points in the plain frame, and the directions there."""
    at = np.arange(count) / count
    points = along(one.plain, one.positions, at)
    ahead = along(one.plain, one.positions, at + 0.5 / count)
    behind = along(one.plain, one.positions, at - 0.5 / count)
    return points, _unit(ahead - behind)


def _unit(vectors: Floats) -> Floats:
    length = np.hypot(vectors[..., 0], vectors[..., 1])[..., None]
    return vectors / np.where(length > 0, length, 1.0)


def _costs(points: Floats, headings: Floats) -> Floats:
    """Cost of pairing each sample of a ring with each of the next, ``(k − 1, m, m)``."""
    here, there = points[:-1], points[1:]
    squares = (here**2).sum(axis=2)[:, :, None] + (there**2).sum(axis=2)[:, None, :]
    apart = np.maximum(squares - 2 * here @ there.transpose(0, 2, 1), 0.0)
    return apart + _DIRECTION_WEIGHT * (1 - headings[:-1] @ headings[1:].transpose(0, 2, 1))


_STEPS = ((1, 1), (1, 2), (2, 1), (1, 3), (3, 1))
"""How far a step goes on the first and on the second ring."""


def _least_paths(cost: Floats) -> list[Ints]:
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
            if a <= at:
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
    """The path of least cost back from the last row, in rising order, last row left out.

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


def _refined(here: Trace, there: Trace, path: Ints) -> Correspondence:
    """The path made continuous: slid to where position agrees, smoothed, led through corner pairs."""
    coarse = Correspondence(here=path[:, 0] / _SAMPLES, there=path[:, 1] / _SAMPLES)
    at = np.arange(_GRID) / _GRID
    to = coarse.at(at)
    smooth = 1 / (1 + (np.arange(_GRID // 2 + 1) / _DETAIL) ** 4)
    points, headings = _samples(here, _GRID)
    half = 0.5 / _GRID
    for _ in range(_REFINEMENTS):
        ahead = along(there.plain, there.positions, to + half)
        behind = along(there.plain, there.positions, to - half)
        chord = ahead - behind
        heading = _unit(chord)
        mean = _unit(heading + headings)
        miss = points - along(there.plain, there.positions, to)
        speed = np.hypot(chord[:, 0], chord[:, 1]) / (2 * half)
        slide = (
            (miss * mean).sum(axis=1) / np.maximum(speed, 1.0) / np.maximum((heading * mean).sum(axis=1), 0.5)
        )
        to = to + np.clip(slide, -1 / _SAMPLES, 1 / _SAMPLES)
        to = at + np.fft.irfft(np.fft.rfft(to - at) * smooth, _GRID)
    to = _rising(at, to, np.array([0], dtype=np.int64))
    smooth_map = Correspondence(here=at, there=to)
    from_corner, to_corner = _corner_pairs(here, there, smooth_map)
    if len(from_corner) == 0:
        return smooth_map
    shift = to_corner - smooth_map.at(from_corner)
    knots = np.unique(np.concatenate([at, from_corner]))
    lead = np.interp(knots, from_corner, shift, period=1.0)
    led = smooth_map.at(knots) + lead
    anchors = np.searchsorted(knots, from_corner)
    led[anchors] = to_corner
    return Correspondence(here=knots, there=_rising(knots, led, anchors))


def _rising(at: Floats, to: Floats, anchors: Ints) -> Floats:
    """The map made strictly rising between anchors, which stay where they are."""
    run = np.roll(at, -1) - at
    run[-1] += 1
    rise = np.roll(to, -1) - to
    rise[-1] += 1
    if (rise >= _LEAST_SLOPE * run).all():
        return to
    turn = int(anchors[0])
    run, rise = np.roll(run, -turn), np.roll(rise, -turn)
    firsts = anchors - turn
    wanted = np.add.reduceat(rise, firsts)
    raised = np.maximum(rise, _LEAST_SLOPE * run)
    counts = np.diff(np.append(firsts, len(at)))
    raised = raised * np.repeat(wanted / np.add.reduceat(raised, firsts), counts)
    rolled = to[turn] + np.concatenate([[0.0], np.cumsum(raised)[:-1]])
    out = np.roll(rolled, turn)
    out[:turn] -= 1
    return out


def _corner_pairs(here: Trace, there: Trace, guess: Correspondence) -> tuple[Floats, Floats]:
    """Positions of corners that belong together, rising; those there unwrapped.

    Global alignment with a price for every unpaired corner. The programme
    is cut open at the widest stretch without a corner on either ring.
    """
    none = np.empty(0)
    if not (len(here.corners) and len(there.corners)):
        return none, none
    first = here.positions[here.corners]
    second = there.positions[there.corners]
    expected = np.mod(guess.back(second), 1.0)
    both = np.unique(np.concatenate([first, expected]))
    gaps = np.diff(np.append(both, both[0] + 1))
    widest = int(gaps.argmax())
    cut = both[widest] + gaps[widest] / 2
    order_a = np.argsort(np.mod(first - cut, 1.0), kind="stable")
    order_b = np.argsort(np.mod(expected - cut, 1.0), kind="stable")
    a, b = here.corners[order_a], there.corners[order_b]
    apart = ((here.plain[a][:, None] - there.plain[b][None]) ** 2).sum(axis=2)
    turned = 1 - here.headings[order_a] @ there.headings[order_b].T
    cost = apart + 0.5 * turned
    shift = np.mod(first[order_a], 1.0)[:, None] - expected[order_b][None]
    shift = shift - np.round(shift)
    opposite = (here.turns_deg[order_a] > 0)[:, None] != (there.turns_deg[order_b] > 0)[None]
    cost[opposite | (np.abs(shift) > _CORNER_WINDOW)] = np.inf
    pairs = _aligned(cost)
    if len(pairs) == 0:
        return none, none
    from_corner = first[order_a][pairs[:, 0]]
    near = guess.at(from_corner)
    to_corner = second[order_b][pairs[:, 1]]
    to_corner = to_corner + np.round(near - to_corner)
    order = np.argsort(from_corner)
    return from_corner[order], to_corner[order]


def _aligned(cost: Floats) -> Ints:
    """Pairs (row, column), rising in both, of least cost with a price for what stays unpaired."""
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
