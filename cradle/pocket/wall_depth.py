"""How deep the grown body reaches into the wall of a slab, measured square to the wall.

A point that lies e beside a wall of slope s is e / √(1 + s²) away from it. The
slope is taken from the nearest facet: a wall may be steep at one side of a thing
and all but level at another.
"""

from __future__ import annotations

import numpy as np

from cradle.geometry.arrays import Bools, Floats, following, preceding
from cradle.geometry.edge_search import all_nearest_edges, edge_index
from cradle.geometry.planar import Region, Regions, outer_rings, region
from cradle.geometry.region_measures import inside, near_boundary
from cradle.geometry.stack import Walls
from cradle.geometry.vectors import cross, lengths


def reached_into(walls: Walls, grown: Regions, *, share: float, rises_mm: Floats, within_mm: float) -> Bools:
    """Whether the grown body reaches deeper into a wall than a distance, for ``(m,)`` walls, none of them a step.

    Parameters
    ----------
    grown : (m,) regions
        The grown body's plane sections at one height of each wall.
    share : float
        How far up the wall that height is, 0 to 1 of the way.
    rises_mm : (m,) float64
        How tall each wall is.
    """
    return np.array(
        [
            _deep(low + share * move, own, slope=move / rise, within_mm=within_mm)
            for (low, move), own, rise in zip(walls.moves(), grown, rises_mm.tolist(), strict=True)
        ],
        dtype=bool,
    )


def _deep(outline: Floats, own: Region, *, slope: Floats, within_mm: float) -> bool:
    """Whether a region reaches deeper than a distance into the wall that has this outline, ``(n, 2)``, mm.

    Parameters
    ----------
    slope : (n, 2) float64
        How the wall leans at each point of the outline and along the edge that leaves it, mm sideways per mm up.
    """
    along = following(outline) - outline
    length = lengths(along)
    along = along / np.where(length > 0, length, np.inf)[:, None]
    longer = np.hypot(1.0, cross(slope, along))  # of ways beside each edge
    corners = np.concatenate(outer_rings(own))
    beyond = corners[~inside(corners, region(outline))]
    each, edge = all_nearest_edges(edge_index(outline), beyond)
    x, y = (beyond[each] - outline[edge]).T
    past = x * along[edge, 0] + y * along[edge, 1]
    past -= np.clip(past, 0.0, length[edge])
    beside = (x * along[edge, 1] - y * along[edge, 0]) / longer[edge]
    depth = np.full(len(beyond), np.inf)
    np.minimum.at(depth, each, np.hypot(past, beside))
    if (depth > within_mm).any():
        return True
    jutting = inside(outline, own)
    allowed = within_mm * np.maximum(longer, preceding(longer))[jutting]
    return not near_boundary(outline[jutting], own, within_mm=allowed).all()
