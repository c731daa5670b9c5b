"""Which edges of a ring are nearest to points, where on them, and how far these lie from lines."""

from __future__ import annotations

from typing import Any, Final

import numpy as np
import shapely

from cradle.geometry.arrays import Floats, Ints, following
from cradle.geometry.ring import share_of_segments

_FEW_PAIRS: Final = 60_000
"""Up to this many pairs of points and edges are measured sooner than a search tree over the edges is made."""


def edge_index(ring: Floats) -> Any:
    """A search tree over the edges of a closed ring, for `nearest_edges`."""
    return shapely.STRtree(shapely.linestrings(np.stack([ring, following(ring)], axis=1)))


def nearest_edges(index: Any, points: Floats) -> Ints:
    """Number of the edge nearest to each of ``(n, 2)`` points, ``(n,)``: edge k leaves point k."""
    return np.asarray(index.nearest(shapely.points(points)), dtype=np.int64)


def all_nearest_edges(index: Any, points: Floats) -> tuple[Ints, Ints]:
    """Numbers of ``(n, 2)`` points and of the edges nearest to them, ``(m,)`` each: both edges where a corner is nearest."""
    each, edge = index.query_nearest(shapely.points(points))
    return np.asarray(each, dtype=np.int64), np.asarray(edge, dtype=np.int64)


def feet_on(ring: Floats, points: Floats, *, edges: Ints) -> tuple[Floats, Floats]:
    """Places on a closed ring nearest to ``(n, 2)`` points, each on an edge of a number, ``(n, 2)``, and how far along it, ``(n,)``, 0 to 1."""
    start = ring[edges]
    along = ring[(edges + 1) % len(ring)] - start
    share = share_of_segments(points - start, along)
    return start + share[:, None] * along, share


def distances_to_lines(points: Floats, lines: Any) -> Floats:
    """Distance from each of ``(n, 2)`` points to the nearest edge of some lines of the kernel, ``(n,)``, mm."""
    wanted = shapely.points(points)
    if len(points) * shapely.get_num_coordinates(lines) > _FEW_PAIRS:
        ends, line = shapely.get_coordinates(shapely.get_parts(lines), return_index=True)
        edges = shapely.linestrings(np.stack([ends[:-1], ends[1:]], axis=1)[line[:-1] == line[1:]])
        lines = edges[shapely.STRtree(edges).nearest(wanted)]
    return np.asarray(shapely.distance(wanted, lines), dtype=np.float64)
