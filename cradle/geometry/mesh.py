"""Triangle meshes as plain arrays, and what can be said of them.

Faces run counter-clockwise seen from outside. In a closed, oriented mesh every
edge is used by exactly two faces, once in each direction: its *balance* is 0.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from cradle.geometry.arrays import Floats, Ints, frozen, frozen_ints

_EDGES = np.array([0, 1, 1, 2, 2, 0])
"""Corners of a face at which its three edges begin and end."""


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class TriMesh:
    """A triangle mesh: ``vertices_mm (v, 3) float64``, ``faces (f, 3) int64``, both read-only."""

    vertices_mm: Floats
    faces: Ints

    @classmethod
    def of(cls, vertices_mm: ArrayLike, faces: ArrayLike) -> TriMesh:
        """Copy and freeze the arrays."""
        return cls(frozen(vertices_mm).reshape(-1, 3), frozen_ints(faces).reshape(-1, 3))


@dataclass(frozen=True, slots=True)
class EdgeStatistics:
    """How the edges of a mesh are used."""

    edges: int
    open: int
    """Edges used by a single face."""
    crowded: int
    """Edges used by more than two faces."""
    unbalanced: int
    """Edges used by two faces in the same direction."""

    @property
    def closed(self) -> bool:
        """Whether every edge is used exactly twice with balance 0."""
        return self.open == self.crowded == self.unbalanced == 0 and self.edges > 0


def edges_of(faces: Ints) -> Ints:
    """The three edges of each face in turn, from corner to corner, ``(3 f, 2)``."""
    return np.asarray(faces[:, _EDGES].reshape(-1, 2))


def edge_statistics(mesh: TriMesh) -> EdgeStatistics:
    """Count open, crowded and unbalanced edges."""
    tail, head = mesh.faces.ravel(), mesh.faces[:, [1, 2, 0]].ravel()  # (3f,) int, directed edges
    low, high = np.minimum(tail, head), np.maximum(tail, head)
    key = 2 * (low * (len(mesh.vertices_mm) + 1) + high) + (tail == low)
    key.sort()
    edge = key >> 1
    starts = np.flatnonzero(np.concatenate([[True], edge[1:] != edge[:-1]])[: len(edge)])
    uses = np.diff(np.append(starts, len(edge)))
    balance = np.add.reduceat(2 * (key & 1) - 1, starts) if len(starts) else uses
    return EdgeStatistics(
        edges=len(uses),
        open=int((uses == 1).sum()),
        crowded=int((uses > 2).sum()),
        unbalanced=int(((uses == 2) & (balance != 0)).sum()),
    )


def half_edges(mesh: TriMesh) -> Ints:
    """The two half-edges of every edge of a closed mesh, ``(e, 2)``, sorted by the edges' vertices.

    Half-edge k leaves corner ``k % 3`` of face ``k // 3`` for that face's next
    corner; the first of the two leads to the vertex with the greater number.

    Raises
    ------
    ValueError
        If an edge is not used twice, once in each direction.
    """
    tail, head = mesh.faces.ravel(), mesh.faces[:, [1, 2, 0]].ravel()  # (3f,) int
    low, high = np.minimum(tail, head), np.maximum(tail, head)
    key = 2 * (low * len(mesh.vertices_mm) + high) + (tail > head)
    order = np.argsort(key, kind="stable")
    pairs = order.reshape(-1, 2) if len(order) % 2 == 0 else order[:0].reshape(0, 2)
    if not len(pairs) or (key[pairs[:, 0]] + 1 != key[pairs[:, 1]]).any():
        raise ValueError("the mesh is not closed: an edge is not used twice, once in each direction")
    return pairs


def next_in_face(half_edges: Ints) -> Ints:
    """The half-edges that go on where the given ones end, round the same faces."""
    corner = half_edges % 3
    return half_edges - corner + (corner + 1) % 3


def component_count(mesh: TriMesh) -> int:
    """Number of pieces connected through shared vertices."""
    edges = edges_of(mesh.faces)
    labels = connected(edges, count=len(mesh.vertices_mm))
    return len(np.unique(labels[edges]))


def connected(edges: Ints, *, count: int) -> Ints:
    """A label for each of ``count`` vertices, ``(count,)``, the same along ``(e, 2)`` edges.

    A label is the number of a vertex in the same piece. Every round hooks
    labels to smaller ones across edges and shortens the chains (after Shiloach
    & Vishkin, J. Algorithms 3(1), 1982, from memory).
    """
    label = np.arange(count)
    a, b = edges[:, 0], edges[:, 1]
    while True:
        from_a, from_b = label[a], label[b]
        live = from_a != from_b
        if not live.any():
            return label
        a, b, from_a, from_b = a[live], b[live], from_a[live], from_b[live]
        np.minimum.at(label, np.maximum(from_a, from_b), np.minimum(from_a, from_b))
        while True:
            shorter = label[label]
            if np.array_equal(shorter, label):
                break
            label = shorter


def corners(mesh: TriMesh) -> Floats:
    """Corner points of every face, ``(f, 3, 3)``, mm."""
    return mesh.vertices_mm[mesh.faces]


def area_normals(mesh: TriMesh) -> Floats:
    """Normals of the faces, as long as twice their areas, ``(f, 3)``, mm²."""
    a, b, c = corners(mesh).transpose(1, 0, 2)
    return np.cross(b - a, c - a)


def surface_area_mm2(mesh: TriMesh) -> float:
    """Area of all faces, mm²."""
    return 0.5 * float(np.linalg.norm(area_normals(mesh), axis=1).sum())


def volume_mm3(mesh: TriMesh) -> float:
    """Signed volume by the divergence theorem, mm³; positive when faces look outward."""
    a, b, c = (corners(mesh) - mesh.vertices_mm[mesh.faces[0, 0]]).transpose(1, 0, 2)
    return float(np.einsum("ij,ij->", a, np.cross(b, c))) / 6


def centroid_mm(mesh: TriMesh) -> Floats:
    """Centroid of the enclosed volume, ``(3,)``, mm.

    Sum over the tetrahedra from one vertex to every face.
    """
    origin = mesh.vertices_mm[mesh.faces[0, 0]]
    a, b, c = (corners(mesh) - origin).transpose(1, 0, 2)
    volumes = np.einsum("ij,ij->i", a, np.cross(b, c)) / 6
    return origin + (volumes[:, None] * (a + b + c)).sum(axis=0) / (4 * volumes.sum())


def bounds_mm(mesh: TriMesh) -> Floats:
    """Least and greatest corner of the bounding box, ``(2, 3)``, mm."""
    used = np.zeros(len(mesh.vertices_mm), dtype=bool)
    used[mesh.faces] = True
    points = mesh.vertices_mm[used]
    return np.array([points.min(axis=0), points.max(axis=0)])


def joined_meshes(meshes: Sequence[TriMesh]) -> TriMesh:
    """Several meshes as one, side by side, nothing merged; a single one is itself, with what is known of it."""
    if len(meshes) == 1:
        return meshes[0]
    starts = np.cumsum([0, *(len(mesh.vertices_mm) for mesh in meshes)])
    faces = [mesh.faces + start for mesh, start in zip(meshes, starts, strict=False)]
    return TriMesh.of(np.concatenate([mesh.vertices_mm for mesh in meshes]), np.concatenate(faces))


def moved(mesh: TriMesh, matrix: Floats) -> TriMesh:
    """The mesh under a rigid ``(4, 4)`` transform in mm."""
    return TriMesh.of(moved_points(mesh.vertices_mm, matrix), mesh.faces)


def moved_points(points_mm: Floats, matrix: Floats) -> Floats:
    """Points ``(n, 3)`` under a rigid ``(4, 4)`` transform, mm."""
    return points_mm @ matrix[:3, :3].T + matrix[:3, 3]
