"""Closed plane rings: measures and resampling.

A *ring* is an ``(n, 2)`` array of points in mm; the last point joins the
first and is not repeated. Counter-clockwise rings have positive area.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

import numpy as np

from cradle.geometry.arrays import Bools, Floats, Ints, following, preceding
from cradle.geometry.vectors import cross, left_of, lengths, unit

Box: TypeAlias = tuple[float, float, float, float]
"""Least x, least y, greatest x, greatest y."""
_FEWEST = 4
"""A ring keeps at least this many corners."""
_ON_EDGE_MM = 1e-9
"""A point no further than this from the line between its neighbours is no vertex."""


def signed_areas(rings: Sequence[Floats]) -> Floats:
    """Area enclosed by each of many rings, ``(n,)``, mm², positive when counter-clockwise; none may be empty."""
    counts = np.array([len(ring) for ring in rings])
    starts = np.cumsum(counts) - counts
    points = np.concatenate(rings) - np.repeat([ring[0] for ring in rings], counts, axis=0)
    after = points_after(counts)
    x, y = points.T
    return 0.5 * np.add.reduceat(x * y[after] - x[after] * y, starts)


def points_after(counts: Ints) -> Ints:
    """For rings of ``counts`` points, one after the other in one array, the index of the point that follows each, ``(counts.sum(),)``."""
    starts = np.cumsum(counts) - counts
    after = np.arange(1, counts.sum() + 1)
    after[starts + counts - 1] = starts
    return after


def signed_area(ring: Floats) -> float:
    """Area enclosed by a ring, mm², positive when counter-clockwise."""
    x, y = (ring - ring[0]).T
    return 0.5 * float(np.dot(x, following(y)) - np.dot(y, following(x)))


def perimeter(ring: Floats) -> float:
    """Length of a ring, mm."""
    return float(edge_lengths(ring).sum())


def edge_lengths(ring: Floats) -> Floats:
    """Lengths of the edges from each point to the next, ``(n,)``, mm."""
    return lengths(following(ring) - ring)


def centroid(ring: Floats) -> Floats:
    """Centroid of the area enclosed by a ring, ``(2,)``, mm.

    Bourke, "Calculating the area and centroid of a polygon" (1988).
    """
    here = ring - ring[0]
    twice = cross(here, following(here))
    moments = np.array([((one + following(one)) * twice).sum() for one in here.T])
    return ring[0] + moments / (3 * twice.sum())


def second_moments(ring: Floats) -> Floats:
    """Mean of x², x y and y² over the area enclosed by a ring, about its centroid, ``(2, 2)``, mm².

    Steger, "On the calculation of moments of polygons" (1996, from memory).

    Examples
    --------
    A rectangle of 6 by 2: its width squared over 12, and its depth squared over 12.

    >>> second_moments(np.array([[0.0, 0.0], [6.0, 0.0], [6.0, 2.0], [0.0, 2.0]])).round(6).tolist()
    [[3.0, 0.0], [0.0, 0.333333]]
    """
    here = ring - centroid(ring)
    there = following(here)
    twice = cross(here, there)
    moments = sum(np.einsum("i,ij,ik->jk", twice, arm, arm) for arm in (here, there, here + there))
    return np.asarray(moments / (12 * twice.sum()))


def counter_clockwise(ring: Floats) -> Floats:
    """The same ring, turned round if it runs clockwise; its first point stays first."""
    return ring if signed_area(ring) >= 0 else np.concatenate([ring[:1], ring[:0:-1]])


def extents(ring: Floats) -> Box:
    """The box around points, mm."""
    low, high = ring.min(axis=0), ring.max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def boxes(rings: Floats) -> Floats:
    """Least and greatest x and y, ``(m, 2, 2)``, of rings with equally many points, ``(m, n, 2)``."""
    return np.stack([rings.min(axis=1), rings.max(axis=1)], axis=1)


def at_heights(rings: Floats, heights_mm: Floats) -> Floats:
    """Rings with equally many points, ``(m, n, 2)``, each put at its height, ``(m, n, 3)``."""
    return np.concatenate([rings, np.broadcast_to(heights_mm[:, None, None], (*rings.shape[:2], 1))], axis=2)


def size(ring: Floats) -> tuple[float, float]:
    """Extent along x (width) and along y (depth), mm: what calipers read."""
    x0, y0, x1, y1 = extents(ring)
    return x1 - x0, y1 - y0


def box_middle(ring: Floats) -> Floats:
    """Middle of width and depth, ``(2,)``, mm."""
    x0, y0, x1, y1 = extents(ring)
    return np.array([x0 + x1, y0 + y1]) / 2


def arc_positions(ring: Floats) -> Floats:
    """Arc length from the first point to each point and back to it, ``(n + 1,)``, mm."""
    return np.concatenate([[0.0], np.cumsum(edge_lengths(ring))])


def along(ring: Floats, at_mm: Floats) -> Floats:
    """The points of a ring at arc lengths from its first, ``(m, 2)``, mm; lengths may lead round it any number of times.

    >>> square = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
    >>> along(square, np.array([0.5, 2.0, -0.5, 4.5])).tolist()
    [[0.5, 0.0], [1.0, 1.0], [0.0, 0.5], [0.5, 0.0]]
    """
    positions = arc_positions(ring)
    closed = np.concatenate([ring, ring[:1]])
    wanted = at_mm % positions[-1]
    return np.column_stack([np.interp(wanted, positions, closed[:, axis]) for axis in (0, 1)])


def resample(ring: Floats, *, count: int) -> Floats:
    """``count`` points at equal arc length, the first point kept, ``(count, 2)``, mm."""
    wanted: Floats = np.arange(count) * (arc_positions(ring)[-1] / count)
    return along(ring, wanted)


def outward(ring: Floats, *, reach_mm: float) -> Floats:
    """Outward unit normals at the points of a counter-clockwise ring, ``(n, 2)``.

    They are square to the chords from ``reach_mm`` before each point to as
    far after it: what is smaller than that is smoothed away.
    """
    here = arc_positions(ring)[:-1]
    return -left_of(unit(along(ring, here + reach_mm) - along(ring, here - reach_mm)))


def turned(ring: Floats, *, angle_deg: float) -> Floats:
    """The ring turned counter-clockwise about the origin."""
    angle = np.radians(angle_deg)
    cos, sin = np.cos(angle), np.sin(angle)
    return ring @ np.array([[cos, sin], [-sin, cos]])


def valleys_filled(ring: Floats, *, within_mm: float) -> Floats:
    """The ring without inward corners, its boundary moved outward by less than a distance, ``(m, 2)``, mm.

    A counter-clockwise ring only grows. Of neighbouring inward corners the
    shallowest goes first; each new chord keeps how far the corners that it
    replaced lie behind it, so that the sum stays below the distance.

    Examples
    --------
    >>> plate = np.array([[0.0, 0.0], [8.0, 0.0], [8.0, 5.0], [4.1, 5.0], [4.0, 4.9], [3.9, 5.0], [0.0, 5.0]])
    >>> len(valleys_filled(plate, within_mm=0.2)), len(valleys_filled(plate, within_mm=0.05))
    (4, 7)
    """
    # (n,) how far corners that each edge replaced lie behind it at most
    behind = np.zeros(len(ring))
    while True:
        before = preceding(ring)
        chord, leg = following(ring) - before, ring - before
        size = np.maximum(lengths(chord), 1e-12)
        depth = cross(chord, leg) / size  # inwards, to the left
        along = (chord[:, 0] * leg[:, 0] + chord[:, 1] * leg[:, 1]) / size
        faces = (depth >= 0) & (along >= 0) & (along <= size)
        # a corner moves to the chord, and what lies behind its edges at most as far as it does
        depth = depth + np.maximum(behind, preceding(behind))
        depth = np.where(faces & (depth < within_mm), depth, np.inf)
        goes = np.isfinite(depth) & (depth <= preceding(depth)) & (depth < following(depth))
        if not goes.any() or (~goes).sum() < _FEWEST:
            return ring
        behind = np.where(following(goes), following(depth), behind)[~goes]
        ring = ring[~goes]


def off_neighbours(ring: Floats) -> tuple[Floats, Floats]:
    """How far each point lies off the line through its neighbours, times their distance, mm², and that distance, mm; ``(n,)``."""
    before, after = preceding(ring), following(ring)
    chord, out = after - before, ring - before
    return np.abs(cross(chord, out)), lengths(chord)


def share_of_segments(out: Floats, along: Floats) -> Floats:
    """How far along segments the places nearest to points lie, ``(...)``, 0 at the start and 1 at the end; both as for `away_from_segments`."""
    length2 = np.maximum((along**2).sum(axis=-1), 1e-18)
    return np.clip((out * along).sum(axis=-1) / length2, 0.0, 1.0)


def away_from_segments(out: Floats, along: Floats) -> Floats:
    """The way to a point from the nearest place on a segment, ``(..., 2)``; from the segment's start ``out`` leads to the point, ``along`` to its end."""
    return np.asarray(out - share_of_segments(out, along)[..., None] * along)


def off_segments(out: Floats, along: Floats) -> Floats:
    """How far points lie from segments, ``(...)``; both as for `away_from_segments`."""
    return lengths(away_from_segments(out, along))


def vertices(ring: Floats) -> Floats:
    """The vertices of a ring, points on straight edges left out, ``(v, 2)``."""
    vertex = are_vertices(ring)
    return ring[vertex] if vertex.sum() >= 3 else ring


def are_vertices(ring: Floats) -> Bools:
    """Which points of a ring are vertices of it, and do not lie on a straight edge, ``(n,)``."""
    area, length = off_neighbours(ring)
    ahead = ((ring - preceding(ring)) * (following(ring) - ring)).sum(axis=1) >= 0
    return ~((area <= _ON_EDGE_MM * length) & (length > 0) & ahead)


def thinned(ring: Floats, *, within_mm: float) -> Floats:
    """The ring without points nearer than ``within_mm`` to the line through their neighbours.

    Of neighbouring points only every other one goes, so that nothing moves
    further than ``within_mm``.
    """
    area, length = off_neighbours(ring)
    flat = (area <= within_mm * length) & (length > 0)
    flat[0] = False
    run = np.arange(len(ring)) - np.maximum.accumulate(np.where(~flat, np.arange(len(ring)), 0))
    return ring[~(flat & (run % 2 == 1))]
