"""Regions inside rings as a kernel cuts them: joined, without specks, and with no more points than are needed."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import shapely

from cradle.geometry.arrays import Floats, Ints
from cradle.geometry.planar import Regions, made_sound, regions
from cradle.geometry.ring import points_after, signed_areas
from cradle.geometry.vectors import lengths

_DECIMALS = 6
"""Points that are the same but for rounding are given the same coordinates."""
_SPECK_MM2 = 1e-5
"""A piece smaller than this is rounding."""
_FLAT_MM = 1e-5
"""A point that stands out less than this lies on a straight edge."""
_LONG_MM = 2.0
"""Edges longer than this keep both their ends."""


def outer_regions(ring_lists: Sequence[Sequence[Floats]], *, within_mm: float) -> Regions:
    """For each list of rings the region inside those that run counter-clockwise, with fewer points, ``(m,)``.

    Rings that run clockwise, which are holes, are left out, and so are pieces
    thinner than ``within_mm``, by which the boundary moves at most. Slits
    narrower than that, as regions that lie upon one another leave them, are filled.
    """
    rings = [ring for rings in ring_lists for ring in rings if len(ring) > 2]
    level = np.repeat(np.arange(len(ring_lists)), [sum(len(r) > 2 for r in rings) for rings in ring_lists])
    whole: Regions = np.full(len(ring_lists), shapely.Polygon(), dtype=object)
    if not rings:
        return whole
    ends = np.cumsum([len(ring) for ring in rings])
    rings = np.split(np.round(np.concatenate(rings), _DECIMALS), ends[:-1])
    kept = np.flatnonzero(signed_areas(rings) > _SPECK_MM2)
    if not len(kept):
        return whole
    pieces = _with_fewer_points([rings[k] for k in kept], within_mm=within_mm)
    parts, of = shapely.get_parts(pieces, return_index=True)
    broad = 2 * shapely.area(parts) > within_mm * shapely.length(parts)
    parts, level = parts[broad], level[kept][of[broad]]
    bounds = np.searchsorted(level, np.arange(len(ring_lists) + 1))
    for k, (a, b) in enumerate(pairwise(bounds.tolist())):
        if b > a:
            whole[k] = parts[a] if b == a + 1 else shapely.union_all(parts[a:b])
    return whole


def _with_fewer_points(rings: Sequence[Floats], *, within_mm: float) -> Regions:
    """The regions inside rings, each with fewer points, the boundary moved by at most ``within_mm``.

    Long edges stay where they are, so that flat walls stay flat: only the
    chains between them lose points.
    """
    whole = regions(rings)
    points, ring = _chains_simplified(*_without_flat_points(whole), within_mm=within_mm)
    points, ring = _without_slits(points, ring, narrower_mm=within_mm)
    enough = np.bincount(ring, minlength=len(rings)) > 2
    thin: Regions = np.array(whole, dtype=object)
    use = enough[ring]
    number = (np.cumsum(enough) - 1)[ring[use]]
    thin[enough] = shapely.polygons(shapely.linearrings(points[use], indices=number))
    crossing = ~shapely.is_valid(thin)
    if crossing.any():
        thin[crossing] = shapely.simplify(made_sound(whole[crossing]), within_mm)
    return thin


def _without_flat_points(whole: Regions) -> tuple[Floats, Ints]:
    """The corners of regions, ``(n, 2)``, without points on straight edges, and the region of each, ``(n,)``; at least three stay."""
    given = shapely.get_exterior_ring(whole)
    plain = shapely.simplify(given, _FLAT_MM, preserve_topology=False)
    plain = np.where(shapely.get_num_coordinates(plain) > 3, plain, given)
    points, ring = shapely.get_coordinates(plain, return_index=True)
    # without the first point of each ring, which is repeated at its end
    keep = np.append(np.diff(ring) == 0, False)
    return points[keep], ring[keep]


def _chains_simplified(points: Floats, ring: Ints, *, within_mm: float) -> tuple[Floats, Ints]:
    """The corners of rings that stay when the chains between long edges lose points (Douglas & Peucker), and the ring of each."""
    counts = np.bincount(ring)
    first = np.cumsum(counts) - counts
    after = points_after(counts)
    # where chains end, (n,) bool: at both ends of every long edge, and once a ring
    ends = lengths(points[after] - points) > _LONG_MM
    ends[after[ends]] = True
    ends[first] = True
    chain = np.cumsum(ends) - 1
    # every chain goes on to the first point of the next of its ring
    closing = np.append(np.flatnonzero(ends)[1:], 0)
    last = np.flatnonzero(np.append(np.diff(chain) > 0, True))
    closing[chain[first + counts - 1]] = first
    order = np.insert(np.arange(len(points)), last + 1, closing)
    lines = shapely.linestrings(points[order], indices=np.insert(chain, last + 1, np.arange(len(last))))
    kept, of = shapely.get_coordinates(
        shapely.simplify(lines, within_mm, preserve_topology=False), return_index=True
    )
    inner = np.append(np.diff(of) == 0, False)  # the last point of a chain is the first of the next
    return kept[inner], ring[np.flatnonzero(ends)][of[inner]]


def _without_slits(points: Floats, ring: Ints, *, narrower_mm: float) -> tuple[Floats, Ints]:
    """The corners of counter-clockwise rings that stay once narrow slits are closed, ``(n, 2)``, and the ring of each, ``(n,)``.

    From the inner end of a slit corners are left out one by one as long as the slit is narrower than ``narrower_mm``.
    """
    while True:
        counts = np.bincount(ring)
        after = points_after(counts[counts > 0])
        before = np.empty_like(after)
        before[after] = np.arange(len(after))
        (to_x, to_y), (on_x, on_y) = (points - points[before]).T, (points[after] - points).T
        turn = to_x * on_y - to_y * on_x
        longer = np.sqrt(np.maximum(to_x**2 + to_y**2, on_x**2 + on_y**2))
        # how far the end of the shorter side lies from the longer one
        end = (turn < 0) & (to_x * on_x + to_y * on_y < 0) & (-turn < narrower_mm * longer)
        end &= ~end[before]
        if not end.any():
            return points, ring
        points, ring = points[~end], ring[~end]
