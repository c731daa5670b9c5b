"""What a pinhole sees of a stack of outlines."""

from itertools import pairwise

import numpy as np
from shapely import Polygon, unary_union

from cradle.geometry.arrays import frozen
from cradle.geometry.planar import hull_ring


def picture_of(levels, *, heights, distance):
    """The silhouette of convex outlines at heights through a pinhole level with their middle, ``(n, 2)``."""
    middle = np.mean(heights[[0, -1]])
    larger = [distance / (distance + r[:, 1]) for r in levels]
    seen = [
        np.column_stack([r[:, 0] * by, middle + (h - middle) * by])
        for r, h, by in zip(levels, heights, larger, strict=True)
    ]
    slabs = [hull_ring(np.vstack(two)) for two in pairwise(seen)]
    return frozen(np.array(unary_union([Polygon(p) for p in slabs]).exterior.coords)[:-1])
