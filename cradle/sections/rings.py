"""Sections to rings with common points.

Terms: a *column* is a place that every ring has a point of. Going up the
stack, a vertex of the next section joins the column whose point it meets
(each the other's nearest, and near), or opens a column of its own between
two others; a column that meets no vertex gets the point of the section that
corresponds to it. So every vertex of every section is a point of its ring,
and the count of columns follows the densest section, not their number.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cradle.geometry import planar
from cradle.geometry.arrays import Floats, Ints, frozen
from cradle.geometry.ring import away_from_segments
from cradle.sections.chord_gap import chord_gap_mm
from cradle.sections.matching import Correspondence, correspondences
from cradle.sections.matching_ring import along, trace
from cradle.sections.section import RingStack, Section
from cradle.tolerances import TOLERANCES

_PLENTY = 400
"""An outline of at most so many points is taken as it is."""
_SAME_PLACE = 0.01
"""Part of the perimeter within which a vertex may join a column."""


def match_sections(sections: Sequence[Section]) -> RingStack:
    """Rings whose point j means the same place on every section.

    Outlines of more than 400 points are simplified first, the curve moving by
    at most a quarter of the chord tolerance.

    Parameters
    ----------
    sections : sequence of Section
        At least one; heights rising.
    """
    traces = [trace(_lighter(section.points_mm, within_mm=TOLERANCES.chord_mm / 4)) for section in sections]
    return RingStack(
        heights_mm=frozen([section.height_mm for section in sections]),
        rings_mm=frozen(
            common_rings(
                [one.points_mm for one in traces],
                positions=[one.positions for one in traces],
                maps=correspondences(traces),
            )
        ),
        names=tuple(section.name for section in sections),
        outlines_mm=tuple(section.points_mm for section in sections),
        chord_gaps_mm=tuple(chord_gap_mm(section.points_mm) for section in sections),
    )


def _lighter(ring: Floats, *, within_mm: float) -> Floats:
    """The ring with fewer points if it has plenty, moved by at most ``within_mm``."""
    if len(ring) <= _PLENTY:
        return ring
    return planar.outer_rings(planar.simplified(planar.region(trace(ring).points_mm), within_mm=within_mm))[0]


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
        A vertex nearer than this to the line between the columns beside it gets
        no column of its own; every vertex has one when left out.
    """
    slack = [0.0] * len(rings) if slack_mm is None else slack_mm
    at = positions[0][:-1]
    out = [rings[0]]
    lifts: list[Floats] = []  # for each step up: where the new columns lie among those before
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
        How far a vertex may lie from the line between the columns beside it without one of its own.

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
    placed = columns.copy()
    placed[column_of[joins]] += distance[joins]
    fresh = index[~joins]
    place = placed[0] + np.mod(vertices[fresh] - placed[0], 1.0)
    below = np.searchsorted(placed, place, side="right") - 1
    ends = np.append(placed, placed[0] + 1)
    if slack_mm > 0:
        corners = along(np.concatenate([ring, ring[:1]]), positions, ends)
        far = _off_chord(ring[fresh], corners[below], corners[below + 1]) > slack_mm
        fresh, place, below = fresh[far], place[far], below[far]
    part = (place - ends[below]) / (ends[below + 1] - ends[below])
    lift = np.concatenate([np.arange(len(at), dtype=np.float64), below + part])
    every = np.concatenate([placed, place])
    vertex: Ints = np.full(len(every), -1, dtype=np.int64)
    vertex[column_of[joins]] = index[joins]
    vertex[len(at) :] = fresh
    order = np.argsort(every, kind="stable")
    every, lift, vertex = every[order], lift[order], vertex[order]
    points = along(np.concatenate([ring, ring[:1]]), positions, every)
    points[vertex >= 0] = ring[vertex[vertex >= 0]]
    return every, points, lift


def _off_chord(points: Floats, start: Floats, end: Floats) -> Floats:
    """Distance from each point to the line between its own two ends, ``(n,)``."""
    away = away_from_segments(points - start, end - start)
    return np.hypot(away[:, 0], away[:, 1])


def _nearest(choices: Floats, wanted: Floats) -> tuple[Ints, Floats]:
    """For each wanted position, index of the nearest choice (period 1) and the way from it, signed."""
    place = np.mod(choices, 1.0)
    order = np.argsort(place, kind="stable")
    ring = np.concatenate([place[order][-1:] - 1, place[order], place[order][:1] + 1])
    index = np.concatenate([order[-1:], order, order[:1]])
    at = np.mod(wanted, 1.0)
    high = np.clip(np.searchsorted(ring, at), 1, len(ring) - 1)
    nearer = np.where(at - ring[high - 1] <= ring[high] - at, high - 1, high)
    return index[nearer], at - ring[nearer]
