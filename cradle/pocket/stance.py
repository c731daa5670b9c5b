"""How the thing stands in the holder: upright, or leaning back."""

from __future__ import annotations

import numpy as np

from cradle.geometry.arrays import Floats
from cradle.geometry.mesh import TriMesh, bounds_mm, moved
from cradle.pocket.clearance import ClearanceProfile


def lean_matrix(lean_deg: float) -> Floats:
    """The turn, ``(4, 4)``, that leans the thing back (its top away from the viewer)."""
    lean = np.radians(lean_deg)
    matrix = np.eye(4)
    matrix[1:3, 1:3] = [[np.cos(lean), np.sin(lean)], [-np.sin(lean), np.cos(lean)]]
    return matrix


def stand(mesh: TriMesh, *, lean_deg: float) -> tuple[TriMesh, Floats]:
    """The thing leaned back and set down, and the ``(4, 4)`` matrix that did it, mm."""
    matrix = lean_matrix(lean_deg)
    if lean_deg == 0:
        matrix[2, 3] = -bounds_mm(mesh)[0, 2]
        return moved(mesh, matrix), matrix
    leaned = moved(mesh, matrix)
    matrix[2, 3] = -bounds_mm(leaned)[0, 2]
    return moved(mesh, matrix), matrix


def reach_mm(height_mm: float, *, lean_deg: float, half_size_mm: float) -> float:
    """How far along its own axis a leaning thing must be known so that it fills a height, mm."""
    lean = np.radians(abs(lean_deg))
    return float((height_mm + 2 * half_size_mm * np.sin(lean)) / np.cos(lean))


def leaned_profile(profile: ClearanceProfile, *, matrix: Floats, half_size_mm: float) -> ClearanceProfile:
    """The clearance against height in the stand frame, never less than in the thing's own.

    A level of a leaning thing passes through many of its own heights; the
    largest clearance asked for among them is taken.
    """
    cos, sin = float(matrix[2, 2]), abs(float(matrix[1, 2]))
    if sin < 1e-12 or (np.ptp(profile.clearances_mm) == 0 and profile.relief_mm == 0):
        return ClearanceProfile(
            heights_mm=profile.heights_mm * cos + matrix[2, 3],
            clearances_mm=profile.clearances_mm,
            relief_mm=profile.relief_mm,
        )
    spread = half_size_mm * sin
    own = np.linspace(profile.heights_mm[0], profile.heights_mm[-1], 400)
    asked = profile.at(own)
    stand_mm = own * cos + matrix[2, 3]
    heights = np.linspace(stand_mm[0] - spread, stand_mm[-1] + spread, 400)
    near = np.abs(stand_mm - heights[:, None]) <= spread + (own[1] - own[0])
    return ClearanceProfile(heights_mm=heights, clearances_mm=np.where(near, asked, 0).max(axis=1))
