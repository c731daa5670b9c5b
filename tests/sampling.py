"""What tests measure shapes by: points spread over a surface, volumes shared, distances, Euler's formula."""

from __future__ import annotations

import numpy as np
import shapely

from cradle.geometry.arrays import Floats
from cradle.geometry.mesh import TriMesh, corners, edge_statistics
from cradle.geometry.solid import Solid, moved, overlap_mm3
from cradle.holder.holder import Holder

_MOST_STEPS = 400


def surface_points(mesh: TriMesh, *, step_mm: float) -> Floats:
    """Points on every face, its corners among them, about a step apart, ``(n, 3)``, mm.

    A face is sampled in rows along its longest edge, as many as its height
    asks for: a sliver gets two rows.
    """
    triangles = corners(mesh)
    if not len(triangles):
        return np.zeros((0, 3))
    edges = np.linalg.norm(np.roll(triangles, -1, axis=1) - triangles, axis=2)  # (f, 3)
    first = np.argmax(edges, axis=1)
    order = (first[:, None] + np.arange(3)) % 3
    a, b, c = np.take_along_axis(triangles, order[:, :, None], axis=1).transpose(1, 0, 2)
    longest = edges.max(axis=1)
    height = np.linalg.norm(np.cross(b - a, c - a), axis=1) / np.maximum(longest, 1e-12)
    along = np.clip(np.ceil(longest / step_mm), 1, _MOST_STEPS).astype(np.int64)
    rows = np.clip(np.ceil(height / step_mm), 1, _MOST_STEPS).astype(np.int64)
    kinds, kind = np.unique(np.column_stack([along, rows]), axis=0, return_inverse=True)
    spread = []
    for k, (n, m) in enumerate(kinds.tolist()):
        s, t = np.meshgrid(np.arange(n + 1) / n, np.arange(m + 1) / m)
        s, t = s.ravel()[:, None], t.ravel()[:, None]
        weights = np.hstack([(1 - t) * (1 - s), (1 - t) * s, t])  # (p, 3)
        use = kind.ravel() == k
        spread.append((weights @ np.stack([a[use], b[use], c[use]], axis=1)).reshape(-1, 3))
    return np.concatenate(spread)


def withdrawal_overlap_mm3(
    holder: Holder, body: Solid, *, direction: Floats, steps: int, stroke_mm: float
) -> float:
    """Largest volume shared by the holder and the body on its way out, mm³.

    Parameters
    ----------
    holder : Holder
    body : Solid
        In the print frame, seated.
    direction : (3,) float64
        Unit vector out of the pocket.
    steps : int
        How many places along the way are tried, the seat included.
    stroke_mm : float
        Length of the way.
    """
    worst = 0.0
    for travel in np.linspace(0.0, stroke_mm, steps):
        worst = max(worst, overlap_mm3(holder.solid, moved(body, direction * travel)))
    return worst if worst > 1e-6 else 0.0


def hausdorff_mm(a: Floats, b: Floats, *, step_mm: float) -> float:
    """Hausdorff distance between two closed rings, mm, sampled every ``step_mm``.

    H(A, B) = max(sup d(a, B), sup d(b, A)); Huttenlocher et al., IEEE PAMI 15(9), 1993.
    """
    first, second = shapely.linearrings(a), shapely.linearrings(b)
    first, second = shapely.segmentize(first, step_mm), shapely.segmentize(second, step_mm)
    shapely.prepare(first)
    shapely.prepare(second)
    there = shapely.distance(shapely.points(shapely.get_coordinates(first)), second).max()
    back = shapely.distance(shapely.points(shapely.get_coordinates(second)), first).max()
    return float(max(there, back))


def euler_characteristic(mesh: TriMesh) -> int:
    """V − E + F, counting only vertices in use: 2 for a ball, 0 for a ring."""
    return len(np.unique(mesh.faces)) - edge_statistics(mesh).edges + len(mesh.faces)
