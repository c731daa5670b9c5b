"""Meshes made light enough to be shown in a page: fewer triangles, sharp edges, whole numbers."""

from __future__ import annotations

import base64
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from cradle.drawing.view import spread_evenly
from cradle.geometry.arrays import Floats, Ints, preceding
from cradle.geometry.mesh import TriMesh, area_normals, bounds_mm, joined_meshes, moved_points
from cradle.geometry.planar import triangulate
from cradle.geometry.region_measures import are_simple
from cradle.geometry.ring import at_heights
from cradle.geometry.solid import Solid, lightened, mesh_of
from cradle.geometry.vectors import unit
from cradle.loft.body import Body
from cradle.noun import noun

_SHARP_DEG: Final = 28.0
_MOST_POINTS: Final = 72
_MOST_LAYERS: Final = 30
_STEPS: Final = 65535
_THINNED_MM: Final = 0.08
"""What is shown may be this far off, and more where it must; the files to print are not."""
_MOST_VERTICES: Final = 12_000
_TRIES: Final = 4
"""A mesh is thinned so often, each time by more, until it has no more vertices."""


@noun
class ShownMesh:
    """A mesh with its sharp edges ``edges (e, 2)``, indices of vertices."""

    mesh: TriMesh
    edges: Ints

    def moved(self, matrix: Floats) -> ShownMesh:
        """The same mesh in another frame."""
        return replace(self, mesh=TriMesh.of(moved_points(self.mesh.vertices_mm, matrix), self.mesh.faces))


def light_mesh(body: Solid) -> TriMesh | None:
    """The solid's mesh thinned until it is light enough for a page; None if it cannot be made light enough."""
    within = _THINNED_MM
    for _ in range(_TRIES):
        body = lightened(body, within_mm=within)  # what was thinned a little is soon thinned more
        mesh = mesh_of(body)
        if len(mesh.vertices_mm) <= _MOST_VERTICES:
            return mesh
        within *= 2.5
    return None


def shown(mesh: TriMesh) -> ShownMesh:
    """The mesh with the edges at which it turns by more than a smooth surface would."""
    faces, vertices = mesh.faces, mesh.vertices_mm
    normal = unit(area_normals(mesh))
    tail, head = faces.ravel(), faces[:, [1, 2, 0]].ravel()
    key = np.minimum(tail, head) * len(vertices) + np.maximum(tail, head)
    order = np.argsort(key, kind="stable")
    paired = key[order][:-1] == key[order][1:]
    first, second = order[:-1][paired], order[1:][paired]
    turn = (normal[first // 3] * normal[second // 3]).sum(axis=1)
    sharp = first[turn < np.cos(np.radians(_SHARP_DEG))]
    return ShownMesh(mesh=mesh, edges=np.column_stack([tail[sharp], head[sharp]]))


def shown_body(body: Body) -> ShownMesh:
    """The thing as lofted, in its own frame, with fewer points on fewer layers."""
    few = spread_evenly(len(body.rings_mm), most=_MOST_LAYERS)
    rings, heights = body.rings_mm[few], body.heights_mm[few]
    rings = rings[:, _spread_columns(rings, most=_MOST_POINTS)]
    m, n = rings.shape[:2]
    j = np.arange(n)
    k = (j + 1) % n
    base = (np.arange(m - 1) * n)[:, None]
    sides = np.stack(
        [
            np.stack([base + j, base + k, base + n + k], axis=-1),
            np.stack([base + j, base + n + k, base + n + j], axis=-1),
        ]
    ).reshape(-1, 3)
    caps = [_filled(rings[0])[:, ::-1], _filled(rings[-1]) + (m - 1) * n]
    points = at_heights(rings, heights).reshape(-1, 3)
    rims = [np.column_stack([j, k]), np.column_stack([j, k]) + (m - 1) * n]
    return ShownMesh(mesh=TriMesh.of(points, np.concatenate([sides, *caps])), edges=np.concatenate(rims))


def _spread_columns(rings: Floats, *, most: int) -> Ints:
    """The numbers of at most ``most`` columns of rings ``(m, n, 2)`` to keep, spread as far from one another as possible on all rings together.

    Between unlike sections most columns may lie at one place.
    """
    count = rings.shape[1]
    if count <= most:
        return np.arange(count)
    along = np.cumsum(np.linalg.norm(rings - np.roll(rings, 1, axis=1), axis=2).mean(axis=0))
    return np.unique(np.searchsorted(along, np.linspace(0, along[-1], most, endpoint=False)))


def _filled(ring: Floats) -> Ints:
    """Triangles that fill a ring ``(n, 2)`` and leave its hollows open, ``(f, 3)``; a fan where fewer points made it cross itself."""
    own = np.flatnonzero((ring != preceding(ring)).any(axis=1))
    if len(own) >= 3 and are_simple([ring[own]])[0]:
        return own[triangulate(ring[own])]
    j = np.arange(1, len(ring) - 1)
    return np.column_stack([np.zeros_like(j), j, j + 1])


def beside(parts: Sequence[ShownMesh]) -> ShownMesh:
    """Several meshes as one."""
    if len(parts) == 1:
        return parts[0]
    counts = [len(part.mesh.vertices_mm) for part in parts]
    starts = np.cumsum([0, *counts[:-1]])
    edges = np.concatenate([part.edges + start for part, start in zip(parts, starts, strict=True)])
    return ShownMesh(mesh=joined_meshes([part.mesh for part in parts]), edges=edges)


def packed(part: ShownMesh) -> dict[str, object]:
    """The mesh as text: positions in 65536 steps of its box, indices, both base64 (little-endian uint16).

    It has no more vertices than 16 bits can number.
    """
    vertices = part.mesh.vertices_mm
    low, high = bounds_mm(part.mesh)
    step = float((high - low).max()) / _STEPS
    positions = np.rint((vertices - low) / step).astype("<u2")
    return {
        "low": [round(float(v), 4) for v in low],
        "step": step,
        "points": _text(positions),
        "faces": _text(part.mesh.faces.astype("<u2")),
        "edges": _text(part.edges.astype("<u2")),
    }


def _text(array: np.ndarray[tuple[int, ...], np.dtype[np.uint16]]) -> str:
    return base64.b64encode(array.tobytes()).decode("ascii")
