"""Patches: pieces of a ball that close the raw offset of a body at its corners.

A patch is bounded by a rim of short arcs. It is triangulated between the points
of its rim, as seen from the middle of the ball's cap that it covers, and then
its long edges are halved until it is round: a narrow patch needs no other
points than those of its rim. From a rim that crosses itself as seen from there,
ears are cut off, the shortest first: folds on the ball cancel each other. Where that
would use an edge twice, the rim is joined to its middle as a fan.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from cradle.geometry.arrays import Bools, Floats, Ints
from cradle.geometry.mesh import edges_of
from cradle.geometry.planar import triangulations
from cradle.geometry.region_measures import are_simple
from cradle.geometry.ring import points_after, signed_areas
from cradle.geometry.vectors import unit
from cradle.pocket.clearance import ClearanceProfile
from cradle.pocket.offset_points import OffsetPoints, angles_rad, directions

_ROUNDS = 6
"""A patch is halved at most this many times; each round halves its angles."""
_LOWEST = 0.2
"""A rim is seen from its middle if the cosine between the two is nowhere less."""
_DIAGONAL = 1.42
"""No edge within a patch is longer than this many steps: the diagonal of a square with sides of one step is not too long."""


def patches(
    rims: Ints, points: OffsetPoints, clearance: ClearanceProfile, *, step: float, round_to_mm: float = np.inf
) -> tuple[OffsetPoints, Ints]:
    """The points with those of the patches, and the faces that close the gaps at the vertices, ``(f, 3)``.

    Parameters
    ----------
    rims : (r, 2) int64
        Directed sides of the gaps, none longer than a step where it is to be round; sides that close each other are left out.
    step : float
        The largest angle between neighbouring points of a rim, rad.
    round_to_mm : float
        Gaps at vertices above this height are closed between the points of their rims alone.
    """
    left = _without_opposites(rims, count=len(points.base))
    if not len(left):
        return points, np.zeros((0, 3), dtype=np.int64)
    loops = _loops(left, points.base)
    live, loop = _between(loops, points.way)
    fanned = _crowded(live, loop, rims, count=len(points.base))
    live = live[~np.isin(loop, fanned)]
    if len(fanned):
        points, fans = _fans([loops[k] for k in fanned.tolist()], points, clearance, step=step)
        live = np.concatenate([live, fans])
    done = []
    for _ in range(_ROUNDS):
        edges = edges_of(live)
        far = angles_rad(points.way, edges) > _DIAGONAL * step
        far &= points.base[edges[:, 0], 2] <= round_to_mm
        split = far.reshape(-1, 3).any(axis=1)
        done.append(live[~split])
        live = live[split]
        if not len(live):
            break
        points, live = _halved(points, live, far.reshape(-1, 3)[split], clearance, step=step)
    return points, np.concatenate([*done, live])


def _loops(rims: Ints, base: Floats) -> list[Ints]:
    """The points of each gap in order round it; a gap that meets itself at a point is several."""
    _, gap = np.unique(base[rims[:, 0]], axis=0, return_inverse=True)
    order = np.argsort(gap.ravel(), kind="stable")
    gaps = np.split(rims[order], np.cumsum(np.bincount(gap.ravel()))[:-1])
    return [loop for sides in gaps for loop in _loops_of(sides)]


def _loops_of(sides: Ints) -> Iterator[Ints]:
    """The points of one gap's sides in order round it, each loop by itself."""
    onward: dict[int, list[int]] = {}
    for start, end in sides.tolist():
        onward.setdefault(start, []).append(end)
    while onward:
        loop: list[int] = []
        here = next(iter(onward))
        while here in onward:
            loop.append(here)
            ends = onward[here]
            here = ends.pop()
            if not ends:
                del onward[loop[-1]]
            if here in loop:
                start = loop.index(here)
                yield np.array(loop[start:])
                del loop[start:]


def _between(loops: list[Ints], ways: Floats) -> tuple[Ints, Ints]:
    """Faces between the points of each rim and no others, ``(f, 3)``, and the number of its rim, ``(f,)``."""
    counts = np.array([len(loop) for loop in loops])
    which, corners = np.repeat(np.arange(len(loops)), counts), np.concatenate(loops)
    begins = np.cumsum(counts) - counts
    # each rim seen from its middle, on the plane that touches the ball there
    out = unit(np.add.reduceat(ways[corners], begins))
    aside = unit(np.cross(out, np.eye(3)[np.abs(out).argmin(axis=1)]))
    frame = np.stack([aside, np.cross(out, aside), out], axis=1)[which]
    x, y, depth = np.einsum("nij,nj->in", frame, ways[corners])
    seen = np.minimum.reduceat(depth, begins) > _LOWEST
    places = np.column_stack([x, y]) / np.maximum(depth, _LOWEST)[:, None]
    repeated = (places == places[points_after(counts)]).all(axis=1)
    rings = np.split(places, begins[1:])
    seen &= are_simple(rings) & (signed_areas(rings) != 0) & ~np.logical_or.reduceat(repeated, begins)
    found = [(ear, loop) for loop in np.flatnonzero(~seen).tolist() for ear in _ears(loops[loop], ways)]
    faces = np.array([ear for ear, _ in found], dtype=np.int64).reshape(-1, 3)
    of = np.array([loop for _, loop in found], dtype=np.int64)
    if not seen.any():
        return faces, of
    own = triangulations([ring for ring, whole in zip(rings, seen, strict=True) if whole])
    inside = np.flatnonzero(seen[which])[own]
    return np.concatenate([faces, corners[inside]]), np.concatenate([of, which[inside[:, 0]]])


def _crowded(faces: Ints, loop: Ints, rims: Ints, *, count: int) -> Ints:
    """The loops with an edge that would be used by more than two faces, rising.

    A side of a rim has one face on this side of it, any other edge two, and no face elsewhere.
    """
    ends = np.sort(edges_of(faces), axis=1)
    keys, which, uses = np.unique(ends[:, 0] * count + ends[:, 1], return_inverse=True, return_counts=True)
    sides = np.sort(rims, axis=1)
    allowed = np.where(np.isin(keys, sides[:, 0] * count + sides[:, 1]), 1, 2)
    return np.unique(loop[np.flatnonzero((uses != allowed)[which.ravel()]) // 3])


def _fans(
    loops: list[Ints], points: OffsetPoints, clearance: ClearanceProfile, *, step: float
) -> tuple[OffsetPoints, Ints]:
    """The points with the middle of each rim, and the faces that join it to all of the rim."""
    counts = np.array([len(loop) for loop in loops])
    corners = np.concatenate(loops)
    begins = np.cumsum(counts) - counts
    base = points.base[corners[begins]]
    way = np.add.reduceat(points.way[corners], begins)
    way = directions(way, otherwise=points.way[corners[begins]])
    middle = np.repeat(len(points.base) + np.arange(len(loops)), counts)
    points = points.with_round(base, way, clearance=clearance, chord_rad=step)
    return points, np.column_stack([middle, corners, corners[points_after(counts)]])


def _ears(loop: Ints, ways: Floats) -> list[Ints]:
    """Faces between the points of a ring, which may cross itself: always the ear with the shortest third side."""
    found = []
    corners, places = loop.tolist(), ways[loop].tolist()
    after = places[1:] + places[:1]
    # over each corner
    thirds = [_apart2(a, b) for a, b in zip(places[-1:] + places[:-1], after, strict=True)]
    while len(corners) > 3:
        count, ear = len(corners), thirds.index(min(thirds))
        found.append(np.array([corners[ear - 1], corners[ear], corners[(ear + 1) % count]]))
        del corners[ear], places[ear], thirds[ear]
        count -= 1
        for k in (ear - 1, ear % count):
            thirds[k] = _apart2(places[k - 1], places[(k + 1) % count])
    return [*found, np.array(corners)] if len(corners) == 3 else found


def _apart2(a: list[float], b: list[float]) -> float:
    x, y, z = a[0] - b[0], a[1] - b[1], a[2] - b[2]
    return x * x + y * y + z * z


def _halved(
    points: OffsetPoints, faces: Ints, far: Bools, clearance: ClearanceProfile, *, step: float
) -> tuple[OffsetPoints, Ints]:
    """The faces with their far edges cut in the middle, where a new point is put on the ball."""
    edges = np.sort(edges_of(faces), axis=1)[far.ravel()]
    pairs, which = np.unique(edges, axis=0, return_inverse=True)
    middle = np.full(far.shape, -1)
    middle[far] = len(points.base) + which.ravel()
    way = directions(points.way[pairs].sum(axis=1), otherwise=points.way[pairs[:, 0]])
    base = points.base[pairs[:, 0]]
    points = points.with_round(base, way, clearance=clearance, chord_rad=step)
    out = []
    count = far.sum(axis=1)
    # a face becomes two, three or four, by how many of its edges are cut; the first two kinds in each of three turns
    for turn in range(3):
        a, b, c = np.roll(faces, -turn, axis=1).T
        ab, bc, ca = np.roll(middle, -turn, axis=1).T
        one, two = (count == 1) & (ab >= 0), (count == 2) & (ca < 0)
        out += [np.column_stack(t)[one] for t in ((a, ab, c), (ab, b, c))]
        out += [np.column_stack(t)[two] for t in ((ab, b, bc), (a, ab, bc), (a, bc, c))]
    three = count == 3
    out += [np.column_stack(t)[three] for t in ((a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca))]
    return points, np.concatenate(out)


def _without_opposites(sides: Ints, *, count: int) -> Ints:
    """The directed sides whose opposite is not among them: the others close each other."""
    key = sides[:, 0] * count + sides[:, 1]
    opposite = sides[:, 1] * count + sides[:, 0]
    return sides[~np.isin(key, opposite)]
