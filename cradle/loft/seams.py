"""The skin of a body whose segments have columns of their own.

Terms: a *piece* is a stretch of layers with common columns; neighbouring pieces
begin and end with the same outline, the *seam*, though with other points on
its edges. A *run* is a chain of pieces; between two runs stands a *step*: an
upright prism over the last ring of the one and the first ring of the other, or
over all between them where they lie apart.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from cradle.geometry import planar, region_measures
from cradle.geometry.arrays import Floats, Ints
from cradle.geometry.mesh import TriMesh
from cradle.geometry.ring import arc_positions, at_heights
from cradle.geometry.solid import Solid, extruded, mesh_of, solid, union
from cradle.loft.pieces import Piece
from cradle.loft.skin import caps, met, met_anywhere, skin, wall

_RIM_MM = 0.01
"""Both ends of a step keep the outline of their own layer for this much of its height."""
_SAME_MM = 1e-6
"""Points of a seam nearer to one another than this are one."""


def body_mesh(runs: Sequence[Sequence[Piece]], *, twist_mm: float) -> TriMesh:
    """The closed, outward mesh through runs of pieces, from below.

    Raises
    ------
    SolidError
        If there are steps and the kernel refuses a run between them.
    """
    if len(runs) == 1:
        return _run_mesh(runs[0], twist_mm=twist_mm)
    parts: list[Solid] = []
    for run in runs:
        whole = [piece for piece in run if len(piece.heights_mm) > 1]
        if whole:
            parts.append(solid(_run_mesh(whole, twist_mm=twist_mm), where="body"))
    for below, above in pairwise(runs):
        last, first = below[-1], above[0]
        low, high = float(last.heights_mm[-1]), float(first.heights_mm[0])
        parts += _step(last.rings_mm[-1], first.rings_mm[0], low_mm=low, high_mm=high)
    return mesh_of(union(parts, where="body"))


def _step(lower: Floats, upper: Floats, *, low_mm: float, high_mm: float) -> list[Solid]:
    """A step as prisms: a thin one over each of its two rings, and between them one over both; a ring that crosses itself stands for all it goes around."""
    rim = min(_RIM_MM, (high_mm - low_mm) / 4)
    below, above = planar.made_sound(planar.regions([lower, upper]))
    both = planar.outer_rings(planar.union([below, above]))
    middle = both if len(both) == 1 else [planar.hull_ring(np.concatenate([lower, upper]))]
    ends = (low_mm, low_mm + rim, high_mm - rim, high_mm)
    rings = (planar.outer_rings(below), middle, planar.outer_rings(above))
    return [
        extruded(ring, low_mm=a, high_mm=b, where="body")
        for some, (a, b) in zip(rings, pairwise(ends), strict=True)
        for ring in some
    ]


def _run_mesh(pieces: Sequence[Piece], *, twist_mm: float) -> TriMesh:
    """One closed mesh through pieces that join at seams."""
    if len(pieces) == 1 and not met_anywhere(pieces[0].rings_mm):
        return skin(pieces[0].rings_mm, pieces[0].heights_mm, twist_mm=twist_mm)
    indices = []
    count = 0
    for _, rings in pieces:
        indices.append(met(rings) + count)
        count += rings.shape[0] * rings.shape[1]
    points = [at_heights(rings, heights).reshape(-1, 3) for heights, rings in pieces]
    rounds = []
    for k, ((heights, below), (_, above)) in enumerate(pairwise(pieces)):
        ring, first, second = _seam(below[-1], above[0])
        indices[k][-1], indices[k + 1][0] = count + first, count + second
        rounds.append((count, len(ring)))
        points.append(np.column_stack([ring, np.full(len(ring), heights[-1])]))
        count += len(ring)
    faces = []
    for k, ((_, rings), index) in enumerate(zip(pieces, indices, strict=True)):
        part, middles = wall(rings, index, np.concatenate(points), start=count, twist_mm=twist_mm)
        points.append(middles)
        count += len(middles)
        part = part[(part != np.roll(part, 1, axis=1)).all(axis=1)]
        # outward faces run forward round their lower ring, backward round their upper
        for at, way in ((k - 1, 1), (k, -1)):
            if 0 <= at < len(rounds):
                part = _split(part, *rounds[at], way=way)
        faces.append(part)
    top = caps(pieces[0].rings_mm[0], pieces[-1].rings_mm[-1], low=indices[0][0], high=indices[-1][-1])
    used, order = np.unique(np.concatenate([top, *faces]), return_inverse=True)
    return TriMesh.of(np.concatenate(points)[used], order.reshape(-1, 3))


def _seam(below: Floats, above: Floats) -> tuple[Floats, Ints, Ints]:
    """All points of one outline given twice, in order, and the index of each point of either."""
    around = arc_positions(below)
    there = region_measures.positions_on(above, below)
    there[there >= around[-1] - _SAME_MM] = 0.0
    place = np.concatenate([around[:-1], there])
    order = np.argsort(place, kind="stable")
    points = np.concatenate([below, above])[order]
    new = np.append(True, np.diff(place[order]) > _SAME_MM)
    group = np.empty(len(place), dtype=np.int64)
    group[order] = np.cumsum(new) - 1
    return points[new], group[: len(below)], group[len(below) :]


def _split(faces: Ints, start: int, count: int, *, way: int) -> Ints:
    """The faces, with those that have an edge on the seam cut at all points of the seam within that edge.

    Parameters
    ----------
    faces : (f, 3) int64
    start, count : int
        The seam's first vertex and how many it has, in order round it.
    way : int
        Which way round it the faces' edges run, 1 or -1.
    """
    on = (faces >= start) & (faces < start + count)
    edged = np.flatnonzero(on.sum(axis=1) == 2)
    apex = on[edged].argmin(axis=1)
    third, u, v = (faces[edged, (apex + turn) % 3] for turn in (0, 1, 2))
    steps = way * (v - u) % count
    cut = steps != 1
    steps = steps[cut]
    # how many steps each new face lies from where the edge of its old one begins
    along = np.arange(steps.sum()) - np.repeat(np.cumsum(steps) - steps, steps)
    place = np.repeat(u[cut] - start, steps) + way * along
    new = np.column_stack(
        [start + place % count, start + (place + way) % count, np.repeat(third[cut], steps)]
    )
    return np.concatenate([np.delete(faces, edged[cut], axis=0), new])
