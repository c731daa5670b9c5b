"""Plane regions: how they are made, joined and cut, changed and taken apart, in this order.

A *ring* is an ``(n, 2)`` array in mm, last point not repeated. A *region* is
an opaque value made here and handed back here; arrays of regions are worked
on in one call. Beside this module only `region_measures`, `outer_regions` and
`edge_search` know shapely.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import reduce
from typing import Any, NewType, TypeAlias, overload

import numpy as np
import shapely
from numpy.typing import NDArray

from cradle.geometry.arrays import Floats, Ints, following, frozen, preceding
from cradle.geometry.vectors import cross

Region = NewType("Region", object)
"""A plane region; opaque to who asks for it."""
Regions: TypeAlias = NDArray[Any]
"""An array of regions."""


def region(ring: Floats) -> Region:
    """The region inside a ring."""
    return shapely.polygons(ring)


def regions(rings: Floats | Sequence[Floats]) -> Regions:
    """The regions inside each of many rings; ``(m, n, 2)`` at once, or a sequence of ``(n, 2)``."""
    if isinstance(rings, np.ndarray):
        return np.asarray(shapely.polygons(rings))
    if not rings:
        return np.empty(0, dtype=object)
    number = np.repeat(np.arange(len(rings)), [len(ring) for ring in rings])
    return np.asarray(shapely.polygons(shapely.linearrings(np.concatenate(rings), indices=number)))


def region_even_odd(rings: Sequence[Floats]) -> Region:
    """The region that an odd number of the rings enclose: holes, and islands in them, included.

    A ring that crosses itself encloses all that it goes around.
    """
    if not rings:
        return shapely.Polygon()
    return reduce(shapely.symmetric_difference, made_sound(regions(rings)))


def made_sound(areas: Regions | Region) -> Any:
    """The region, or each of many; where a ring crosses itself, the region of all that it goes around.

    Examples
    --------
    A bow tie goes around two triangles.

    >>> tie = regions(np.array([[[0.0, 0.0], [2.0, 2.0], [2.0, 0.0], [0.0, 2.0]]]))
    >>> shapely.area(tie).tolist(), shapely.area(made_sound(tie)).tolist()
    ([0.0], [2.0])
    """
    crossing = ~shapely.is_valid(areas)
    if not crossing.any():
        return areas
    out = np.array(areas, dtype=object)
    out[crossing] = shapely.make_valid(out[crossing], method="structure", keep_collapsed=False)
    return out[()]


def hull_ring(points: Floats) -> Floats:
    """Convex hull of ``(n, 2)`` points as a counter-clockwise ring."""
    return _ring_of(shapely.convex_hull(shapely.multipoints(points)))


def union(areas: Regions | Sequence[Region]) -> Region:
    """One region that covers all of them."""
    return _overlaid(shapely.union_all, np.asarray(areas, dtype=object))


def united(a: Regions | Region, b: Regions | Region) -> Any:
    """Union, element by element."""
    return _overlaid(shapely.union, a, b)


def common(a: Regions | Region, b: Regions | Region) -> Any:
    """Intersection, element by element."""
    return _overlaid(shapely.intersection, a, b)


def without(a: Regions | Region, b: Regions | Region) -> Any:
    """The part of ``a`` that is not in ``b``, element by element."""
    return _overlaid(shapely.difference, a, b)


def _overlaid(overlay: Callable[..., Any], *areas: Regions | Region) -> Any:
    """The overlay of regions; where it fails because a ring crosses itself, that of all that their rings go around."""
    try:
        return overlay(*areas)
    except shapely.errors.GEOSException:
        return overlay(*(made_sound(area) for area in areas))


def filled(area: Region) -> Region:
    """The region with its holes filled."""
    parts = shapely.get_parts(area)
    if not shapely.get_num_interior_rings(parts).any():
        return area
    return shapely.union_all(shapely.polygons(shapely.get_exterior_ring(parts)))


@overload
def offset(areas: Region, distance_mm: float, *, arc_deg: float = ...) -> Region: ...
@overload
def offset(areas: Region, distance_mm: Floats, *, arc_deg: float = ...) -> Regions: ...
@overload
def offset(areas: Regions, distance_mm: Floats | float, *, arc_deg: float = ...) -> Regions: ...
def offset(areas: Regions | Region, distance_mm: Floats | float, *, arc_deg: float = 11.25) -> Any:
    """Regions grown outward (or shrunk, when negative) by a distance, element by element; outer corners become round.

    That is the Minkowski sum with a disc; the arcs are polygons of steps
    ≤ ``arc_deg`` whose *sides* touch the disc, so that growing never falls
    short (by at most r (1/cos(step/2) − 1) too much). `widened` keeps corners sharp.
    """
    segments = max(2, int(np.ceil(90 / arc_deg)))
    reach = np.asarray(distance_mm, dtype=np.float64)
    around = np.where(reach > 0, reach / np.cos(np.pi / (4 * segments)), reach)
    return shapely.buffer(areas, around, quad_segs=segments)


def opened(areas: Regions | Region, by_mm: float) -> Any:
    """The region(s) without what is narrower than twice a distance: shrunk by it and grown again (a morphological opening)."""
    return offset(offset(areas, -by_mm), by_mm)


def closed(areas: Regions | Region, by_mm: float) -> Any:
    """The region(s) with hollows filled that are narrower than twice a distance: grown by it and shrunk again."""
    return offset(offset(areas, by_mm), -by_mm)


def widened(areas: Regions | Region, by_mm: Floats | float) -> Any:
    """The regions grown by a distance, or by one each; corners stay sharp (mitred)."""
    return shapely.buffer(areas, by_mm, join_style="mitre", mitre_limit=2.0)


def simplified(areas: Regions | Region, *, within_mm: float) -> Any:
    """The region(s) with fewer points, the boundary moved by at most ``within_mm``."""
    return shapely.simplify(areas, within_mm)


def simplified_path(path: Floats, *, within_mm: float) -> Floats:
    """A line through fewer of its points ``(n, 2)``, first and last kept, moved by at most ``within_mm``."""
    return np.asarray(shapely.get_coordinates(shapely.simplify(shapely.linestrings(path), within_mm)))


def shifted(areas: Regions | Region, by_mm: Floats) -> Any:
    """The region(s) moved by ``(2,)`` mm, or each of ``(n,)`` by its own row of ``(n, 2)``."""
    if by_mm.ndim == 1:
        return shapely.transform(areas, lambda points: points + by_mm)
    points, which = shapely.get_coordinates(areas, return_index=True)
    return shapely.set_coordinates(np.array(areas, dtype=object), points + by_mm[which])


def scaled(areas: Regions | Region, factor: float) -> Any:
    """The region(s) scaled about the origin."""
    return shapely.transform(areas, lambda points: points * factor)


def bands_ahead(area: Region, *, by_mm: Floats) -> list[Region]:
    """Bands that, with the region before and after a shift by ``(2,)`` mm, make up all that it sweeps over.

    One for each stretch of its outline that faces the way it moves.

    Examples
    --------
    >>> square = np.array([[0.0, 0.0], [4.0, 0.0], [4.0, 4.0], [0.0, 4.0]])
    >>> [float(shapely.area(band)) for band in bands_ahead(region(square), by_mm=np.array([1.0, 0.5]))]
    [6.0]
    """
    bands: list[Region] = []
    for ring in outer_rings(area):
        ahead = cross(by_mm, following(ring) - ring) > 0  # (n,) bool, of the edge to the next point
        first = np.flatnonzero(ahead & ~preceding(ahead))
        last = np.flatnonzero(ahead & ~following(ahead))
        for start, end in zip(first, last[np.searchsorted(last, first) % max(len(last), 1)], strict=True):
            stretch = ring[np.arange(start, start + (end - start) % len(ring) + 2) % len(ring)]
            bands.append(region(np.concatenate([stretch, stretch[::-1] + by_mm])))
    return bands


def outer_rings(area: Region) -> list[Floats]:
    """Outer boundaries of a region's pieces, counter-clockwise, largest first; holes are left out."""
    pieces = shapely.get_parts(area)
    pieces = pieces[(shapely.get_type_id(pieces) == 3) & ~shapely.is_empty(pieces)]
    return [_ring_of(piece) for piece in pieces[np.argsort(-shapely.area(pieces), kind="stable")]]


def holes(area: Region) -> list[Floats]:
    """Boundaries of the holes in a region, counter-clockwise."""
    return [
        _ring_of(shapely.polygons(hole))
        for piece in shapely.get_parts(area)
        for hole in shapely.get_rings(piece)[1:]
    ]


def boundary_rings(area: Region) -> list[Floats]:
    """All boundaries of a region: outer ones counter-clockwise, holes clockwise."""
    return [*outer_rings(area), *(hole[::-1] for hole in holes(area))]


def _ring_of(polygon: Region) -> Floats:
    closed = shapely.get_coordinates(shapely.get_exterior_ring(polygon))
    x, y = (closed - closed[0]).T
    ring = closed[:-1]
    if x[:-1] @ y[1:] < y[:-1] @ x[1:]:
        ring = ring[::-1]
    return frozen(ring)


def triangulate(ring: Floats) -> Ints:
    """Triangles that fill a simple ring, ``(n − 2, 3)`` indices into it, the same way round as the ring.

    Constrained Delaunay triangulation: no points are added.
    """
    return triangulations([ring])


def triangulations(rings: Sequence[Floats]) -> Ints:
    """Triangles that fill many simple rings, ``(f, 3)`` indices into all their points one after the other.

    See `triangulate`.
    """
    points = np.concatenate(rings)
    number = np.repeat(np.arange(len(rings)), [len(ring) for ring in rings])
    triangles, of = shapely.get_parts(
        shapely.constrained_delaunay_triangles(regions(rings)), return_index=True
    )
    corners = shapely.get_coordinates(triangles).reshape(-1, 4, 2)[:, :3]
    # every point by its place and its ring: pairs compare x first, then y
    places = np.ascontiguousarray(points).view(np.complex128).ravel()
    known, place = np.unique(places, return_inverse=True)
    order = np.argsort(number * len(known) + place)
    wanted = np.searchsorted(known, np.ascontiguousarray(corners).view(np.complex128)[..., 0])
    keys = (number * len(known) + place)[order]
    faces = order[np.searchsorted(keys, of[:, None] * len(known) + wanted)]
    # all triangles of a ring run the same way round it: a flat one by itself might seem to run the other way
    counts = np.array([len(ring) for ring in rings])
    onward = (faces[:, [1, 2, 0]] - faces) % counts[of][:, None]
    along = (onward == 1).sum(axis=1) - (onward == counts[of][:, None] - 1).sum(axis=1)
    follows = np.bincount(of, weights=along, minlength=len(rings)) > 0
    faces[~follows[of]] = faces[~follows[of]][:, ::-1]
    return faces
