"""Which point of one ring belongs to which point of the next.

A *correspondence* is a strictly rising map between the positions of two
traces. It starts as the cheapest way round both (`cyclic_path`), is made
continuous by sliding every pair to where positions agree, and is then led
through pairs of corners (`corner_pairs`), which it meets exactly.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cradle.geometry.arrays import Floats, Ints, following
from cradle.geometry.vectors import lengths, unit
from cradle.matching.corner_pairs import corner_pairs
from cradle.matching.cyclic_path import costs, least_paths
from cradle.matching.matching_ring import Trace, along, samples
from cradle.noun import noun

_SAMPLES = 64
"""How many samples of each ring are paired for the cheapest way round."""
_GRID = 256
"""At how many positions the refined map is kept."""
_DETAIL = 16.0
"""Refinement smooths away what varies in the map more often than this many times round the ring."""
_REFINEMENTS = 8
_LEAST_SLOPE = 0.05
"""The map rises everywhere by at least this times an even one."""
_PAIRS_AT_ONCE = 8
"""So few pairs of rings are matched in one array, for the sake of memory."""


@noun
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


def correspondences(traces: Sequence[Trace]) -> list[Correspondence]:
    """The correspondence from each trace to the next, ``k − 1`` of them."""
    sampled = [samples(one, _SAMPLES) for one in traces]
    points = np.array([one[0] for one in sampled])
    headings = np.array([one[1] for one in sampled])
    out: list[Correspondence] = []
    for first in range(0, len(traces) - 1, _PAIRS_AT_ONCE):
        last = min(first + _PAIRS_AT_ONCE, len(traces) - 1)
        price = costs(points[first : last + 1], headings[first : last + 1])
        for pair, path in enumerate(least_paths(price), start=first):
            out.append(_refined(traces[pair], traces[pair + 1], path))
    return out


def _refined(here: Trace, there: Trace, path: Ints) -> Correspondence:
    """The path made continuous: slid to where position agrees, smoothed, led through corner pairs."""
    coarse = Correspondence(here=path[:, 0] / _SAMPLES, there=path[:, 1] / _SAMPLES)
    at = np.arange(_GRID) / _GRID
    to = coarse.at(at)
    keep = 1 / (1 + (np.arange(_GRID // 2 + 1) / _DETAIL) ** 4)
    points, headings = samples(here, _GRID)
    half = 0.5 / _GRID
    for _ in range(_REFINEMENTS):
        ahead = along(there.plain, there.positions, to + half)
        behind = along(there.plain, there.positions, to - half)
        chord = ahead - behind
        heading = unit(chord)
        mean = unit(heading + headings)
        miss = points - along(there.plain, there.positions, to)
        speed = lengths(chord) / (2 * half)
        slide = (
            (miss * mean).sum(axis=1) / np.maximum(speed, 1.0) / np.maximum((heading * mean).sum(axis=1), 0.5)
        )
        to = to + np.clip(slide, -1 / _SAMPLES, 1 / _SAMPLES)
        to = at + np.fft.irfft(np.fft.rfft(to - at) * keep, _GRID)
    to = _rising(at, to, np.array([0], dtype=np.int64))
    smooth_map = Correspondence(here=at, there=to)
    corners = there.positions[there.corners]
    pairs = corner_pairs(here, there, expected=np.mod(smooth_map.back(corners), 1.0))
    if len(pairs) == 0:
        return smooth_map
    from_corner, to_corner = here.positions[here.corners[pairs[:, 0]]], corners[pairs[:, 1]]
    to_corner = to_corner + np.round(smooth_map.at(from_corner) - to_corner)
    shift = to_corner - smooth_map.at(from_corner)
    knots = np.unique(np.concatenate([at, from_corner]))
    lead = np.interp(knots, from_corner, shift, period=1.0)
    led = smooth_map.at(knots) + lead
    anchors = np.searchsorted(knots, from_corner)
    led[anchors] = to_corner
    return Correspondence(here=knots, there=_rising(knots, led, anchors))


def _rising(at: Floats, to: Floats, anchors: Ints) -> Floats:
    """The map made strictly rising between anchors, which stay where they are."""
    run = following(at) - at
    run[-1] += 1
    rise = following(to) - to
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
