"""A row: pockets put side by side, each clear of its neighbours."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from cradle.geometry.arrays import frozen
from cradle.geometry.mesh import TriMesh, bounds_mm
from cradle.geometry.planar import shifted
from cradle.geometry.solid import moved
from cradle.pocket.pocket import Pocket
from cradle.pocket.stance import StandFromThing


def put_in_row(pockets: Sequence[Pocket], meshes: Sequence[TriMesh], *, gap_mm: float) -> tuple[Pocket, ...]:
    """The pockets from left to right, ``gap_mm`` apart where they or the things in them are widest.

    The first one keeps its place.

    Parameters
    ----------
    pockets : sequence of Pocket
        Each where its thing's own frame puts it.
    meshes : sequence of TriMesh
        The things as lofted, each in its own frame; they may reach out above
        the block further than in it. Leaning back leaves their widths as they are.
    gap_mm : float
        What is left between neighbours.
    """
    placed: list[Pocket] = []
    free = 0.0
    for pocket, mesh in zip(pockets, meshes, strict=True):
        x0, _, x1, _ = pocket.extent_mm().tolist()
        (low, _, _), (high, _, _) = bounds_mm(mesh).tolist()
        left, right = min(x0, low), max(x1, high)
        by = free + gap_mm - left if placed else 0.0
        placed.append(_put_aside(pocket, by))
        free = by + right
    return tuple(placed)


def _put_aside(pocket: Pocket, by_mm: float) -> Pocket:
    """The pocket and the thing in it moved to the right."""
    if by_mm == 0.0:
        return pocket
    matrix = pocket.stand_from_thing.copy()
    matrix[0, 3] += by_mm
    way = (by_mm, 0.0, 0.0)
    return replace(
        pocket,
        solid=moved(pocket.solid, way),
        mouth=None if pocket.mouth is None else moved(pocket.mouth, way),
        levels=shifted(pocket.levels, np.array([by_mm, 0.0])),
        stand_from_thing=StandFromThing(frozen(matrix)),
    )
