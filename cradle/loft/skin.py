"""Rings to a closed skin.

Neighbouring rings have the same count of points, so a wall of n quads joins
them. A *twisted* quad, whose corners do not lie in a plane, stands for the
surface swept by the straight line between its two edges (a hyperbolic
paraboloid). Cut along its shorter diagonal it has two triangles; cut from its
*middle* it has four, which enclose exactly the volume under that surface.
"""

from __future__ import annotations

import numpy as np

from cradle.errors import InternalError
from cradle.geometry import planar
from cradle.geometry.arrays import Bools, Floats, Ints, preceding
from cradle.geometry.mesh import TriMesh
from cradle.geometry.ring import at_heights
from cradle.geometry.vectors import cross, lengths


def skin(rings_mm: Floats, heights_mm: Floats, *, twist_mm: float) -> TriMesh:
    """The closed, outward mesh through rings, with flat caps.

    Parameters
    ----------
    rings_mm : (m, n, 2) float64
        Simple counter-clockwise rings, m ≥ 2.
    heights_mm : (m,) float64
        Rising.
    twist_mm : float
        A quad whose diagonals pass each other at more than this is cut from its middle.

    Raises
    ------
    InternalError
        If a cap does not use every point of its ring.
    """
    vertices = at_heights(rings_mm, heights_mm).reshape(-1, 3)
    index = np.arange(len(vertices)).reshape(rings_mm.shape[:2])
    sides, middles = wall(rings_mm, index, vertices, start=len(vertices), twist_mm=twist_mm)
    ends = caps(rings_mm[0], rings_mm[-1], low=index[0], high=index[-1])
    return TriMesh.of(np.concatenate([vertices, middles]), np.concatenate([ends, sides]))


def wall(
    rings_mm: Floats, index: Ints, vertices_mm: Floats, *, start: int, twist_mm: float
) -> tuple[Ints, Floats]:
    """The triangles between neighbouring rings, ``(t, 3)``, and the middles of twisted quads, ``(q, 3)``, mm.

    Where columns meet, some triangles use a vertex twice.

    Parameters
    ----------
    rings_mm : (m, n, 2) float64
    index : (m, n) int64
        The vertex of each point.
    vertices_mm : (v, 3) float64
    start : int
        The vertex that the first middle becomes.
    """
    beside = np.roll(index, -1, axis=1)
    quads = np.stack([index[:-1], beside[:-1], beside[1:], index[1:]], axis=2).reshape(-1, 4)
    one = _shorter_first(rings_mm)
    parted = twisted(rings_mm, twist_mm=twist_mm).ravel()
    found = [quads[one & ~parted][:, [0, 1, 2, 0, 2, 3]], quads[~one & ~parted][:, [0, 1, 3, 1, 2, 3]]]
    middle: Floats = np.empty((0, 3))
    if parted.any():
        middle = vertices_mm[quads[parted]].mean(axis=1)
        centre = start + np.arange(len(middle))
        a, b, c, d = quads[parted].T
        found.append(np.stack([a, b, centre, b, c, centre, c, d, centre, d, a, centre], axis=1))
    return np.concatenate([part.reshape(-1, 3) for part in found]), middle


def met(rings_mm: Floats) -> Ints:
    """The vertex of each point, ``(m, n)``: columns that meet on a ring share that of the first."""
    layers, count, _ = rings_mm.shape
    index = np.arange(layers * count).reshape(layers, count)
    same = (rings_mm == np.roll(rings_mm, 1, axis=1)).all(axis=2)
    for row in np.flatnonzero(same.any(axis=1)):
        first = int(np.flatnonzero(~same[row])[0])
        place = np.where(np.roll(same[row], -first), 0, np.arange(count))
        index[row] = np.roll(np.roll(index[row], -first)[np.maximum.accumulate(place)], first)
    return index


def met_anywhere(rings_mm: Floats) -> bool:
    """Whether two neighbouring columns meet on any of the rings ``(m, n, 2)``."""
    return bool((rings_mm == np.roll(rings_mm, 1, axis=1)).all(axis=2).any())


def caps(lower: Floats, upper: Floats, *, low: Ints, high: Ints) -> Ints:
    """Triangles that close the skin over its lowest and its highest ring, ``(t, 3)``.

    Parameters
    ----------
    lower, upper : (n, 2), (m, 2) float64
    low, high : (n,), (m,) int64
        The vertices of their points.
    """
    found = []
    for ring, index in ((lower, low), (upper, high)):
        own = index != preceding(index)
        found.append(index[own][cap(ring[own])])
    return np.concatenate([found[0][:, ::-1], found[1]])


def cap(ring: Floats) -> Ints:
    """Triangles that fill a simple ring and use each of its points, ``(n − 2, 3)``, counter-clockwise.

    Raises
    ------
    InternalError
        If a point was left out.
    """
    faces = planar.triangulate(ring)
    if len(faces) != len(ring) - 2:
        raise InternalError(f"a cap of {len(ring)} points has {len(faces)} triangles, not {len(ring) - 2}")
    return faces


def _shorter_first(rings: Floats) -> Bools:
    """Whether each quad's diagonal from the lower left corner is the shorter one, ``((m − 1) n,)``."""
    beside = np.roll(rings, -1, axis=1)
    rising = ((beside[1:] - rings[:-1]) ** 2).sum(axis=2)
    falling = ((rings[1:] - beside[:-1]) ** 2).sum(axis=2)
    slack = 1e-9 * (rising + falling)
    return np.asarray(rising <= falling + slack).ravel()


def twisted(rings_mm: Floats, *, twist_mm: float) -> Bools:
    """Whether the diagonals of each quad between rings ``(m, n, 2)`` pass each other at more than ``twist_mm``, ``(m − 1, n)``."""
    return np.asarray(_twist(rings_mm) > twist_mm)


def _twist(rings: Floats) -> Floats:
    """Distance at which each quad's diagonals pass each other at mid height, ``(m − 1, n)``, mm."""
    edge = np.roll(rings, -1, axis=1) - rings
    gap = lengths(np.diff(edge, axis=0))
    # parallel edges of different lengths lie in a plane however much they differ
    between = np.abs(cross(edge[1:], edge[:-1]))
    longer = np.sqrt(np.maximum((edge[1:] ** 2).sum(axis=2), (edge[:-1] ** 2).sum(axis=2)))
    return np.minimum(gap, between / np.where(longer > 0, longer, 1.0)) / 2
