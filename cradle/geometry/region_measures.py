"""What is asked of plane regions and rings, and measured of them: where they lie to one another, how large and how far apart they are."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely

from cradle.geometry.arrays import Bools, Floats
from cradle.geometry.edge_search import distances_to_lines, edge_index
from cradle.geometry.planar import Region, Regions, region, regions

_EDGES_AT_ONCE = 16
"""Crossings are looked for with this many edges of a ring at a time: of a wild ring each crosses thousands."""


def empty(areas: Regions | Region) -> Any:
    """Whether the region, or each of many, is empty."""
    return shapely.is_empty(areas)


def are_simple(rings: Floats | Sequence[Floats]) -> Bools:
    """Whether each ring crosses or touches itself nowhere, ``(m,)`` bool."""
    return np.asarray(shapely.is_valid(regions(rings)), dtype=bool)


def crossing(ring: Floats) -> tuple[float, float] | None:
    """The point where a ring first crosses or touches itself, mm; None when it is simple."""
    polygon = shapely.polygons(ring)
    if shapely.is_valid(polygon):
        return None
    place = re.search(r"\[(\S+) (\S+)\]", shapely.is_valid_reason(polygon))
    return (float(place[1]), float(place[2])) if place else (float(ring[0, 0]), float(ring[0, 1]))


def crosses_seldom(ring: Floats, *, most: int) -> bool:
    """Whether at most ``most`` pairs of a ring's edges, neighbours apart, cross or touch; the search ends once there are more.

    Examples
    --------
    >>> knot = np.array([[0.0, 0.0], [9.0, 0.0], [9.0, 9.0], [4.0, 9.0], [5.0, 8.0], [5.0, 9.5], [0.0, 9.0]])
    >>> crosses_seldom(knot, most=0), crosses_seldom(knot, most=2)
    (False, True)
    """
    tree = edge_index(ring)
    edges, seen = tree.geometries, 0
    for start in range(0, len(edges), _EDGES_AT_ONCE):
        part = edges[start : start + _EDGES_AT_ONCE]
        each, _ = tree.query(part, predicate="intersects")
        seen += len(each) - 3 * len(part)  # itself and its two neighbours
        if seen > 2 * most:  # each pair is seen from both of its edges
            return False
    return True


def covers(areas: Regions | Region, others: Regions | Region) -> Any:
    """Whether a region covers another, or each of many its own."""
    shapely.prepare(areas)
    return shapely.covers(areas, others)


def nearly_covers(area: Region, other: Region, *, within_mm: float) -> bool:
    """Whether a region covers another to within a distance, judged by corners.

    Each corner of the other lies in the region, and no corner of the region in the
    other; exceptions lie within that distance of the boundary.
    """
    for points, ground, wanted in ((other, area, True), (area, other, False)):
        corners = shapely.get_coordinates(points)
        shapely.prepare(ground)
        beyond = corners[shapely.contains_xy(ground, corners[:, 0], corners[:, 1]) != wanted]
        if not near_boundary(beyond, ground, within_mm=within_mm).all():
            return False
    return True


def inside(points: Floats, area: Region) -> Bools:
    """Whether each of ``(n, 2)`` points lies in a region, ``(n,)`` bool."""
    shapely.prepare(area)
    return np.asarray(shapely.contains_xy(area, points[:, 0], points[:, 1]), dtype=bool)


def near_boundary(points: Floats, area: Region, *, within_mm: Floats | float) -> Bools:
    """Whether each of ``(n, 2)`` points lies within a distance, or one each, of the boundary of a region, ``(n,)``."""
    edge = shapely.boundary(area)
    shapely.prepare(edge)
    return np.asarray(shapely.dwithin(edge, shapely.points(points), within_mm), dtype=bool)


def area_mm2(areas: Regions | Region) -> Any:
    """Area of a region or of each of many, mm²."""
    return shapely.area(areas)


def perimeter_mm(areas: Regions | Region) -> Any:
    """Length of the boundary of a region or of each of many, mm."""
    return shapely.length(areas)


def bounds(areas: Regions | Region) -> Floats:
    """Least x, least y, greatest x, greatest y of each, ``(..., 4)``, mm."""
    return np.asarray(shapely.bounds(areas), dtype=np.float64)


def deepest_point(area: Region) -> Floats:
    """The place in a region farthest from its boundary, to a hundredth of that, ``(2,)``, mm."""
    line = shapely.maximum_inscribed_circle(area)
    return np.asarray(shapely.get_coordinates(line)[0], dtype=np.float64)


def positions_on(points: Floats, ring: Floats) -> Floats:
    """How far along a closed ring, from its first point, each of ``(n, 2)`` points on it lies, ``(n,)``, mm."""
    line = shapely.linestrings(np.concatenate([ring, ring[:1]]))
    return np.asarray(shapely.line_locate_point(line, shapely.points(points)), dtype=np.float64)


def distances(points: Floats, area: Region) -> Floats:
    """Distance from each of ``(n, 2)`` points to a region, ``(n,)``, mm; 0 inside it."""
    shapely.prepare(area)
    return np.asarray(shapely.distance(shapely.points(points), area), dtype=np.float64)


def distances_to_boundary(points: Floats, area: Region) -> Floats:
    """Distance from each of ``(n, 2)`` points to the boundary of a region, ``(n,)``, mm."""
    return distances_to_lines(points, shapely.boundary(area))


def farthest_apart_mm(a: Floats, b: Floats) -> float:
    """The largest distance from a point of either of two rings, ``(n, 2)`` and ``(m, 2)``, to the other ring, mm."""
    return max(float(distances_to_boundary(p, region(q)).max()) for p, q in ((a, b), (b, a)))


def depths(points: Floats, area: Region) -> Floats:
    """How deep in a region each of ``(n, 2)`` points lies, ``(n,)``, mm; outside it the distance to it, negative."""
    away = distances_to_boundary(points, area)
    return np.asarray(np.where(inside(points, area), away, -away))


def distance_mm(a: Any, b: Any) -> Any:
    """Least distance between regions, mm, element by element; 0 where they meet."""
    return shapely.distance(a, b)


def distance_to_boundary_mm(areas: Regions, outside: Region) -> Floats:
    """Least distance from each of many regions to the boundary of another, ``(m,)``, mm."""
    edge = shapely.boundary(outside)
    shapely.prepare(edge)
    return np.asarray(shapely.distance(edge, areas), dtype=np.float64)


def nearest_to_boundary(area: Region, outside: Region) -> tuple[float, float]:
    """The point of a region that is nearest to the boundary of another, mm."""
    x, y = shapely.get_coordinates(shapely.shortest_line(area, shapely.boundary(outside)))[0].tolist()
    return x, y


def boundary_gaps(areas: Regions, others: Regions) -> Floats:
    """Least distance between the boundaries of two regions, element by element, ``(m,)``, mm."""
    return np.asarray(shapely.distance(shapely.boundary(areas), shapely.boundary(others)), dtype=np.float64)
