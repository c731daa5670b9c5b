"""A mesh cut into layers: its surface as it is, with edges at given heights."""

from __future__ import annotations

import numpy as np

from cradle.geometry.arrays import Floats, Ints
from cradle.geometry.mesh import TriMesh


def layered(mesh: TriMesh, heights_mm: Floats) -> TriMesh:
    """The mesh with every face cut in two where it reaches through one of ``(k,)`` heights, mm; closed if it was.

    Examples
    --------
    >>> upright = TriMesh.of([[0, 0, 0], [4, 0, 0], [0, 0, 8]], [[0, 1, 2]])
    >>> halved = layered(upright, np.array([4.0]))
    >>> halved.vertices_mm[3:].tolist(), len(halved.faces)
    ([[0.0, 0.0, 4.0], [2.0, 0.0, 4.0]], 3)
    """
    points, layers = _layers(mesh.vertices_mm, mesh.faces, np.unique(heights_mm))
    return TriMesh.of(points, np.concatenate(layers))


def _layers(points: Floats, faces: Ints, heights_mm: Floats) -> tuple[Floats, list[Ints]]:
    """The faces of each layer, the lowest first, and the points of all: cut at the middle height, then both halves, so that each height meets few faces."""
    if not len(heights_mm):
        return points, [faces]
    middle = len(heights_mm) // 2
    points, faces = _cut(points, faces, heights_mm[middle])
    upper = points[faces, 2].max(axis=1) > heights_mm[middle]
    points, below = _layers(points, faces[~upper], heights_mm[:middle])
    points, above = _layers(points, faces[upper], heights_mm[middle + 1 :])
    return points, below + above


def _cut(points: Floats, faces: Ints, height_mm: float) -> tuple[Floats, Ints]:
    """Points and faces with those faces cut that reach through one height."""
    sides = np.sign(points[faces, 2] - height_mm).astype(np.int64)
    through = (sides.min(axis=1) < 0) & (sides.max(axis=1) > 0)
    if not through.any():
        return points, faces
    cut, sides = faces[through], sides[through]
    # each face turned so that its first corner is alone on its side, or lies on the cut
    level = (sides == 0).any(axis=1)
    alone = np.where(
        level, (sides == 0).argmax(axis=1), (sides == -np.sign(sides.sum(axis=1))[:, None]).argmax(axis=1)
    )
    a, b, c = np.take_along_axis(cut, (alone[:, None] + np.arange(3)) % 3, axis=1).T
    whole = ~level
    crossed = np.concatenate(
        [np.column_stack(pair) for pair in ((a[whole], b[whole]), (a[whole], c[whole]), (b[level], c[level]))]
    )
    edges, which = np.unique(np.sort(crossed, axis=1), axis=0, return_inverse=True)
    low, high = points[edges].transpose(1, 0, 2)
    part = (height_mm - low[:, 2]) / (high[:, 2] - low[:, 2])
    more = low + part[:, None] * (high - low)
    more[:, 2] = height_mm
    ab, ac, bc = np.split(len(points) + which.ravel(), [whole.sum(), 2 * whole.sum()])
    one, two = (a[whole], b[whole], c[whole]), (a[level], b[level], c[level])
    new = [
        (one[0], ab, ac),
        (ab, one[1], one[2]),
        (ab, one[2], ac),
        (two[0], two[1], bc),
        (two[0], bc, two[2]),
    ]
    return np.concatenate([points, more]), np.concatenate(
        [faces[~through], *(np.column_stack(face) for face in new)]
    )
