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
from cradle.geometry.arrays import Bools, Floats, Ints
from cradle.geometry.mesh import TriMesh


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
    layers, count, _ = rings_mm.shape
    points = np.concatenate(
        [rings_mm, np.broadcast_to(heights_mm[:, None, None], (layers, count, 1))], axis=2
    )  # (m, n, 3)
    index = np.arange(layers * count).reshape(layers, count)
    beside = np.roll(index, -1, axis=1)
    quads = np.stack([index[:-1], beside[:-1], beside[1:], index[1:]], axis=2).reshape(-1, 4)
    one = _shorter_first(rings_mm)
    twisted = _twist(rings_mm) > twist_mm
    wall = [quads[one & ~twisted][:, [0, 1, 2, 0, 2, 3]], quads[~one & ~twisted][:, [0, 1, 3, 1, 2, 3]]]
    vertices = points.reshape(-1, 3)
    if twisted.any():
        middle = vertices[quads[twisted]].mean(axis=1)
        centre = len(vertices) + np.arange(len(middle))
        a, b, c, d = quads[twisted].T
        wall.append(np.stack([a, b, centre, b, c, centre, c, d, centre, d, a, centre], axis=1))
        vertices = np.concatenate([vertices, middle])
    faces = np.concatenate(
        [cap(rings_mm[0])[:, ::-1], cap(rings_mm[-1]) + index[-1, 0], *(part.reshape(-1, 3) for part in wall)]
    )
    return TriMesh.of(vertices, faces)


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


def _twist(rings: Floats) -> Floats:
    """Distance at which each quad's diagonals pass each other at mid height, ``((m − 1) n,)``, mm."""
    edge = np.roll(rings, -1, axis=1) - rings
    along = np.diff(edge, axis=0)
    gap = np.hypot(along[..., 0], along[..., 1])
    # parallel edges of different lengths lie in a plane however much they differ
    cross = np.abs(edge[1:, :, 0] * edge[:-1, :, 1] - edge[1:, :, 1] * edge[:-1, :, 0])
    longer = np.sqrt(np.maximum((edge[1:] ** 2).sum(axis=2), (edge[:-1] ** 2).sum(axis=2)))
    return np.minimum(gap, cross / np.where(longer > 0, longer, 1.0)).ravel() / 2
