"""Sections to rings with common points.

Terms: a *column* is a place that every ring has a point of. Going up the
stack, a vertex of the next section joins the column whose point it meets
(each the other's nearest, and near), or opens a column of its own between
two others; a column that meets no vertex gets the point of the section that
corresponds to it. So every vertex of every section is a point of its ring,
and the count of columns follows the densest section, not their number.

Vertices of dense outlines are where a tracing happened to put them: columns
that go from one to the next waver, and over many sections they multiply and
need many more layers to run smoothly. Where there are many such points, a
vertex moves or opens a column only if it lies too far from the line between
the columns beside it.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cradle.geometry import planar
from cradle.geometry import ring as plane
from cradle.geometry.arrays import Bools, Floats, Ints, following, frozen, preceding
from cradle.geometry.ring import off_segments
from cradle.geometry.vectors import turn_rad
from cradle.matching.matching import Correspondence, correspondences
from cradle.matching.matching_ring import along, trace
from cradle.matching.ring_stack import RingStack
from cradle.sections.section import Section
from cradle.tolerances import TOLERANCES

_PLENTY = 400
"""An outline of no more points than this is taken as it is."""
_MANY = 10_000
"""With more points than this in all, dense outlines' columns need not meet every vertex."""
_THINNED_MM = TOLERANCES.chord_mm / 4
"""How far an outline of more points may move where it is thinned."""
_PASSED_MM = TOLERANCES.section_mm - _THINNED_MM
"""How far its vertices may lie from the line between the columns beside them, where there are many in all."""
_SAME_PLACE = 0.01
"""Part of the perimeter within which a vertex may join a column."""
_CORNER_DEG = 62.0
"""A turn of more than this is a corner (no source): six points, 60 degrees each, may stand for a round."""
_ALIKE = 2.0
"""Edges of one curve differ in length by no more than this factor."""


def match_sections(sections: Sequence[Section]) -> RingStack:
    """Rings whose point j means the same place on every section; there is at least one, and their heights rise.

    Outlines of more than 400 points are simplified first, the curve moving by
    at most a quarter of the chord tolerance; where all have many points, their
    rings pass within the section tolerance of what was given.
    """
    traces = [trace(_lighter(section.points_mm)) for section in sections]
    many = sum(len(section.points_mm) for section in sections) > _MANY
    passed_mm = [_PASSED_MM if many and _plenty(section.points_mm) else 0.0 for section in sections]
    return RingStack(
        heights_mm=frozen([section.height_mm for section in sections]),
        rings_mm=frozen(
            common_rings(
                [one.points_mm for one in traces],
                positions=[one.positions for one in traces],
                maps=correspondences(traces),
                slack_mm=passed_mm,
            )
        ),
        names=tuple(section.name for section in sections),
        outlines_mm=tuple(section.points_mm for section in sections),
        chord_gaps_mm=tuple(chord_gap_mm(section.points_mm) for section in sections),
    )


def _plenty(ring: Floats) -> bool:
    return len(ring) > _PLENTY


def _lighter(ring: Floats) -> Floats:
    """The ring with fewer points if it has plenty, moved by at most `_THINNED_MM`."""
    if not _plenty(ring):
        return ring
    region = planar.region(trace(ring).points_mm)
    return planar.outer_rings(planar.simplified(region, within_mm=_THINNED_MM))[0]


def common_rings(
    rings: Sequence[Floats],
    *,
    positions: Sequence[Floats],
    maps: Sequence[Correspondence],
    slack_mm: Sequence[float] | None = None,
) -> Floats:
    """The same rings with a point in every column, ``(k, n, 2)``, mm.

    Parameters
    ----------
    rings : sequence of k (n_i, 2) float64
    positions : sequence of k (n_i + 1,) float64
        Where a ring's points lie on it, rising from 0 to 1.
    maps : sequence of k − 1 Correspondence
        From the positions on each ring to those on the next.
    slack_mm : sequence of k float, optional
        A vertex nearer than this to the line between the columns beside it moves no
        column, nor gets one of its own; every vertex is a point of one when left out.
    """
    slack = slack_mm or [0.0] * len(rings)
    at = positions[0][:-1]
    out = [rings[0]]
    lifts: list[Floats] = []  # for each step up: the index of every column among those before
    for ring, own, to, spared in zip(rings[1:], positions[1:], maps, slack[1:], strict=True):
        at, points, lift = _joined(at, ring, positions=own, to=to, slack_mm=spared)
        out.append(points)
        lifts.append(lift)
    column = np.arange(len(at), dtype=np.float64)
    full = [out[-1]]
    for ring, lift in zip(reversed(out[:-1]), reversed(lifts), strict=True):
        column = _between(np.append(lift, lift[0] + len(ring)), column)
        full.append(_between(np.concatenate([ring, ring[:1]]), column))
    return np.array(full[::-1])


def _between(values: Floats, index: Floats) -> Floats:
    """Values at fractional indices, straight between neighbours."""
    low = np.minimum(np.floor(index).astype(np.int64), len(values) - 2)
    part = index - low
    if values.ndim == 2:
        part = part[:, None]
    return np.asarray(values[low] * (1 - part) + values[low + 1] * part)


def _joined(
    at: Floats, ring: Floats, *, positions: Floats, to: Correspondence, slack_mm: float
) -> tuple[Floats, Floats, Floats]:
    """Columns after the next section has joined.

    Parameters
    ----------
    at : (n,) float64
        Positions of the columns on the section below, unwrapped and rising.
    ring : (v, 2) float64
        The next section.
    positions : (v + 1,) float64
        Where its points lie on it.
    to : Correspondence
        From the section below to the next.
    slack_mm : float
        How far a vertex may lie from the line between the columns beside it without moving one, or having its own.

    Returns
    -------
    positions : (m,) float64
        Of all columns on the next section, unwrapped and rising.
    points_mm : (m, 2) float64
        Of all columns on the next section.
    lift : (m,) float64
        Index of each column among the ``n`` before; fractional for new ones.
    """
    columns = to.at(at)
    vertices = positions[:-1]
    column_of, distance = _nearest(columns, vertices)
    vertex_of, _ = _nearest(vertices, columns)
    index = np.arange(len(vertices))
    joins = (vertex_of[column_of] == index) & (np.abs(distance) <= _SAME_PLACE)
    if slack_mm > 0:
        joins &= _passed_mm(ring, positions, columns) > slack_mm
    placed = columns.copy()
    placed[column_of[joins]] += distance[joins]
    fresh = ~joins if slack_mm == 0 else _missed(ring, positions, placed, joins=joins, slack_mm=slack_mm)
    place, below = _between_columns(vertices[fresh], placed)
    ends = np.append(placed, placed[0] + 1)
    part = (place - ends[below]) / (ends[below + 1] - ends[below])
    lift = np.concatenate([np.arange(len(at), dtype=np.float64), below + part])
    every = np.concatenate([placed, place])
    vertex: Ints = np.full(len(every), -1, dtype=np.int64)
    vertex[column_of[joins]] = index[joins]
    vertex[len(at) :] = index[fresh]
    order = np.argsort(every, kind="stable")
    every, lift, vertex = every[order], lift[order], vertex[order]
    points = along(np.concatenate([ring, ring[:1]]), positions, every)
    points[vertex >= 0] = ring[vertex[vertex >= 0]]
    return every, points, lift


def _missed(ring: Floats, positions: Floats, columns: Floats, *, joins: Bools, slack_mm: float) -> Bools:
    """Which vertices of a ring, ``(v,)``, need a column of their own so that all lie within ``slack_mm`` of the line between columns.

    A new column bends that line, so its neighbours may then need one too: it is asked until none does.
    """
    fresh = np.zeros(len(joins), dtype=bool)
    every = columns
    while True:
        more = ~joins & ~fresh & (_passed_mm(ring, positions, every) > slack_mm)
        if not more.any():
            return fresh
        fresh |= more
        place, _ = _between_columns(positions[:-1][fresh], columns)
        every = np.sort(np.concatenate([columns, place]))


def _between_columns(vertices: Floats, columns: Floats) -> tuple[Floats, Ints]:
    """The positions of vertices, unwrapped like those of the columns, and the index of the column before each."""
    place = columns[0] + np.mod(vertices - columns[0], 1.0)
    return place, np.searchsorted(columns, place, side="right") - 1


def _passed_mm(ring: Floats, positions: Floats, columns: Floats) -> Floats:
    """Distance from each vertex of a ring to the line between the columns beside it, ``(v,)``."""
    _, below = _between_columns(positions[:-1], columns)
    ends = along(np.concatenate([ring, ring[:1]]), positions, np.append(columns, columns[0] + 1))
    return off_segments(ring - ends[below], ends[below + 1] - ends[below])


def _nearest(choices: Floats, wanted: Floats) -> tuple[Ints, Floats]:
    """For each wanted position, the index of the nearest choice (period 1), and the signed way from that to it."""
    place = np.mod(choices, 1.0)
    order = np.argsort(place, kind="stable")
    ring = np.concatenate([place[order][-1:] - 1, place[order], place[order][:1] + 1])
    index = np.concatenate([order[-1:], order, order[:1]])
    at = np.mod(wanted, 1.0)
    high = np.clip(np.searchsorted(ring, at), 1, len(ring) - 1)
    nearer = np.where(at - ring[high - 1] <= ring[high] - at, high - 1, high)
    return index[nearer], at - ring[nearer]


def chord_gap_mm(ring_mm: Floats) -> float:
    """The greatest rise of a curve through the points of a counter-clockwise ring above the edges between them, mm; 0 without curves.

    Where an outline turns by about the same at both ends of an edge, and the edges
    beside it are about as long, the points stand for a curve: an arc that turns by
    θ over a chord of length L rises L/2 · tan(θ/4) above it (the sagitta; any
    geometry text). Larger turns are corners, and an edge much longer than its
    neighbours is straight.

    Examples
    --------
    Twelve points of a circle of radius 30 miss it by 30 (1 − cos 15°) half way between them.

    >>> angle = np.arange(12) * np.pi / 6
    >>> round(chord_gap_mm(30 * np.column_stack([np.cos(angle), np.sin(angle)])), 3)
    1.022

    A box's corners are corners, and straight sides with a point on each are straight.

    >>> chord_gap_mm(np.array([[0.0, 0.0], [60.0, 0.0], [60.0, 40.0], [0.0, 40.0]]))
    0.0
    """
    edge = following(ring_mm) - ring_mm
    length = plane.edge_lengths(ring_mm)
    before = preceding(edge)
    # at the point from which each edge leaves
    turn = turn_rad(before, edge)
    here, there = turn, following(turn)
    beside = np.column_stack([preceding(length), following(length)])
    curved = (here * there > 0) & (np.maximum(np.abs(here), np.abs(there)) <= np.radians(_CORNER_DEG))
    curved &= (beside.max(axis=1) <= _ALIKE * length) & (beside.min(axis=1) * _ALIKE >= length)
    rise = length / 2 * np.tan(np.minimum(np.abs(here), np.abs(there)) / 4)
    return float(np.where(curved, rise, 0.0).max())
