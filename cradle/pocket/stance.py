"""How the thing stands in the holder: upright, or leaning back."""

from __future__ import annotations

from typing import Any, NewType

import numpy as np

from cradle.geometry.arrays import Floats
from cradle.geometry.mesh import TriMesh

StandFromThing = NewType("StandFromThing", np.ndarray[Any, np.dtype[np.float64]])
"""A ``(4, 4)`` matrix, mm, from the thing's frame to the stand frame."""


def lean_matrix(lean_deg: float) -> Floats:
    """The turn, ``(4, 4)``, that leans the thing back (its top away from the viewer)."""
    lean = np.radians(lean_deg)
    matrix = np.eye(4)
    matrix[1:3, 1:3] = [[np.cos(lean), np.sin(lean)], [-np.sin(lean), np.cos(lean)]]
    return matrix


def stand_matrix(points_mm: Floats, *, lean_deg: float) -> StandFromThing:
    """The matrix from the thing's frame to the stand frame: leaned back and set down, ``(4, 4)``, mm.

    Parameters
    ----------
    points_mm : (n, 3) float64
        Points of the thing, among them that which will lie lowest.
    """
    matrix = lean_matrix(lean_deg)
    matrix[2, 3] = -float((points_mm @ matrix[2, :3]).min())
    return StandFromThing(matrix)


def needed_length_mm(height_mm: float, *, lean_deg: float, depth_mm: float) -> float:
    """How far along its own axis a leaning thing must be known so that it fills a height, mm.

    ``depth_mm`` is from its foremost to its rearmost point, over all its height.
    """
    lean = np.radians(abs(lean_deg))
    return float((height_mm + depth_mm * np.sin(lean)) / np.cos(lean))


def top_rim_height_mm(mesh: TriMesh, *, lean_deg: float) -> float:
    """How high above its lowest point the top of a body that leans back begins, mm."""
    heights = mesh.vertices_mm @ lean_matrix(lean_deg)[2, :3]
    z = mesh.vertices_mm[:, 2]
    return float(heights[z > z.max() - 1e-6].min() - heights.min())


def highest_held_mm(
    plan_mm: Floats, *, high_mm: float, stand_from_thing: StandFromThing, top_mm: float
) -> float:
    """The height in the thing's frame above which nothing of it is in the block, mm.

    Parameters
    ----------
    plan_mm : (n, 2) float64
        Points of the thing seen from above, among them the outermost.
    high_mm : float
        Its greatest height.
    top_mm : float
        Height of the block's top in the stand frame.
    """
    return min(
        high_mm, (top_mm - block_holding_mm(plan_mm, 0.0, stand_from_thing)) / float(stand_from_thing[2, 2])
    )


def block_holding_mm(plan_mm: Floats, high_mm: float, stand_from_thing: StandFromThing) -> float:
    """The height of a block that holds nothing of the thing above a height in the thing's frame, mm.

    ``plan_mm (n, 2)`` are points of the thing seen from above, among them the outermost.
    """
    *across, along, lift = stand_from_thing[2].tolist()
    low_side = float((plan_mm @ across).min()) if any(across) else 0.0
    return low_side + along * high_mm + lift
