"""Plane sections of a triangle mesh at many heights, as directed closed curves."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from cradle.geometry.arrays import Floats, Ints
from cradle.geometry.mesh import TriMesh


def section_curves(mesh: TriMesh, heights_mm: Floats) -> list[list[Floats]]:
    """The closed curves in which level planes cut a mesh, for each height a list of ``(n, 2)`` arrays, mm.

    They run so that the inside lies to the left. The mesh may cross itself,
    and so do the curves then; above the greatest height it may be open.

    Parameters
    ----------
    mesh : TriMesh
    heights_mm : (m,) float64
        Rising. A vertex exactly at a height counts as below it.
    """
    points, faces = mesh.vertices_mm, mesh.faces
    z = points[faces, 2]  # (f, 3)
    first = np.searchsorted(heights_mm, z.min(axis=1), side="left")
    count = np.searchsorted(heights_mm, z.max(axis=1), side="left") - first
    face = np.repeat(np.arange(len(faces)), count)
    level = np.repeat(first - np.cumsum(count) + count, count) + np.arange(len(face))
    corners = faces[face]
    above = z[face] > heights_mm[level][:, None]
    onward = np.roll(above, -1, axis=1)
    rows = np.arange(len(face))
    sinking = np.argmax(above & ~onward, axis=1)  # the edge where a piece of curve begins ...
    rising = np.argmax(~above & onward, axis=1)  # ... and the one where it ends
    start = corners[rows, sinking], corners[rows, (sinking + 1) % 3]
    end = corners[rows, rising], corners[rows, (rising + 1) % 3]
    z0, z1 = points[start[0], 2], points[start[1], 2]
    share = ((heights_mm[level] - z0) / (z1 - z0))[:, None]
    crossings = (1 - share) * points[start[0], :2] + share * points[start[1], :2]
    following = np.empty(len(face), dtype=np.int64)
    following[_by_edge(level, *end, count=len(points))] = _by_edge(level, *start, count=len(points))
    curves: list[list[Floats]] = [[] for _ in heights_mm]
    order, ends = _cycles(following)
    for a, b in pairwise(ends):
        loop = order[a:b]
        curves[level[loop[0]]].append(crossings[loop])
    return curves


def _by_edge(level: Ints, tail: Ints, head: Ints, *, count: int) -> Ints:
    """The pieces of curve in the order of their levels and edges: the k-th to begin there follows the k-th to end there."""
    low, high = np.minimum(tail, head), np.maximum(tail, head)
    order = np.argsort(low * count + high, kind="stable")
    return order[np.argsort(level[order], kind="stable")]


def _cycles(following: Ints) -> tuple[Ints, list[int]]:
    """The cycles of a permutation one after the other, and where each begins and the last ends."""
    ways = following.tolist()
    seen = bytearray(len(ways))
    order: list[int] = []
    ends = [0]
    for k in range(len(ways)):
        if seen[k]:
            continue
        while not seen[k]:
            seen[k] = 1
            order.append(k)
            k = ways[k]
        ends.append(len(order))
    return np.array(order, dtype=np.int64), ends
