"""The shape of a body as growing needs it: its faces' normals and how they bend at its edges."""

from __future__ import annotations

import numpy as np

from cradle.geometry.arrays import Bools, Floats, Ints
from cradle.geometry.mesh import TriMesh, area_normals, half_edges, next_in_face
from cradle.geometry.vectors import unit
from cradle.noun import noun

_NEEDLE_ROUNDS = 4
"""Of up to this many needles side by side each gets a normal from beside them; of more, one is left with a normal that points up."""


@noun
class Shape:
    """A closed mesh and how it bends.

    Attributes
    ----------
    normals : (f, 3) float64
        Unit normals; a face without area has a neighbour's.
    half_edges : (e, 2) int64
        The two half-edges of every edge, see `cradle.geometry.mesh.half_edges`.
    bends : (e,) float64
        The angle between the normals of the two faces at every edge, rad.
    outward : (e,) bool
        Whether the mesh bends outward there.
    away : (e, 3) float64
        Unit vectors square to every edge, in the first face's plane, leading out of it.
    """

    mesh: TriMesh
    normals: Floats
    half_edges: Ints
    bends: Floats
    outward: Bools
    away: Floats


def shape_of(mesh: TriMesh) -> Shape:
    """The shape of a closed mesh.

    Raises
    ------
    ValueError
        If the mesh is not closed.
    """
    edges = half_edges(mesh)
    own, other = edges.T // 3
    normals = _unit_normals(mesh, edges)
    corners = mesh.vertices_mm[mesh.faces.ravel()]
    along = corners[next_in_face(edges[:, 0])] - corners[edges[:, 0]]
    opposite = corners[next_in_face(next_in_face(edges[:, 1]))] - corners[edges[:, 0]]
    cosine = np.einsum("ij,ij->i", normals[own], normals[other])
    return Shape(
        mesh=mesh,
        normals=normals,
        half_edges=edges,
        bends=np.arccos(np.clip(cosine, -1, 1)),
        outward=np.einsum("ij,ij->i", opposite, normals[own]) < 0,
        away=unit(np.cross(along, normals[own])),
    )


def _unit_normals(mesh: TriMesh, edges: Ints) -> Floats:
    """Unit normals, ``(f, 3)``; needles and other faces without area take that of the face beside their longest edge."""
    normals = area_normals(mesh)
    size = np.linalg.norm(normals, axis=1)
    corners = mesh.vertices_mm[mesh.faces]
    longest = np.linalg.norm(corners - np.roll(corners, -1, axis=1), axis=2)
    needle = size <= 1e-9 * np.maximum(longest.max(axis=1), 1e-12)
    normals = normals / np.where(needle, 1.0, size)[:, None]
    if needle.any():
        partner = np.zeros(3 * len(normals), dtype=np.int64)
        partner[edges[:, 0]], partner[edges[:, 1]] = edges[:, 1], edges[:, 0]
        thin = np.flatnonzero(needle)
        beside = partner[3 * thin + longest[thin].argmax(axis=1)] // 3
        normals[thin] = [0.0, 0.0, 1.0]
        left = needle.copy()
        for _ in range(_NEEDLE_ROUNDS):
            known = left[thin] & ~left[beside]
            normals[thin[known]] = normals[beside[known]]
            left[thin[known]] = False
    return normals
