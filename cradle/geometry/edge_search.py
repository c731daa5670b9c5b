"""Which edges of a ring are nearest to points."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from cradle.geometry.arrays import Floats, Ints, following


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
