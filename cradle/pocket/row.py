"""A row: pockets put side by side, each clear of its neighbours."""

from __future__ import annotations

from collections.abc import Sequence

from cradle.geometry.mesh import TriMesh, bounds_mm
from cradle.pocket.pocket import Pocket, put_aside


def side_by_side(
    pockets: Sequence[Pocket], meshes: Sequence[TriMesh], *, gap_mm: float
) -> tuple[Pocket, ...]:
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
        placed.append(put_aside(pocket, by))
        free = by + right
    return tuple(placed)
