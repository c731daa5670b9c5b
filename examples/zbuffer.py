"""A small picture maker for triangle meshes: depth buffer, soft sky light, drawn edges.

Orthographic. Light comes from many directions of the sky; a point is as bright
as the share of them that reaches it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from skylight import sky_light, softened

from cradle.drawing.rendered import nearest_faces

Floats = NDArray[np.float64]
PAPER = np.array([0.97, 0.965, 0.95])
INK = np.array([0.16, 0.17, 0.20])


@dataclass(frozen=True, kw_only=True)
class Part:
    """Corners of triangles, ``(f, 3, 3)`` mm, and a colour, ``(3,)`` in 0..1."""

    corners: Floats
    colour: Floats


def looking(*, turn_deg: float, down_deg: float) -> Floats:
    """Rows: right, up and towards the viewer, ``(3, 3)``, for a viewer in front, turned and looking down."""
    turn, down = np.radians(turn_deg), np.radians(down_deg)
    right = np.array([np.cos(turn), np.sin(turn), 0.0])
    ahead = np.array([-np.sin(turn) * np.cos(down), np.cos(turn) * np.cos(down), -np.sin(down)])
    return np.stack([right, np.cross(right, ahead), -ahead])


def depths(corners: Floats, *, view: Floats, size: tuple[int, int], frame: Floats) -> tuple[Floats, Floats]:
    """Depth buffer and number of the nearest triangle (-1: none); ``frame`` is x0, y0, mm per pixel."""
    seen = corners @ view.T
    number, depth = nearest_faces((seen[..., :2] - frame[:2]) / frame[2], seen[..., 2], size=size)
    return depth, number


def picture(parts: list[Part], *, view: Floats, width: int, height: int, finer: int = 2) -> Floats:
    """The parts on a table, ``(height, width, 3)`` in 0..1."""
    corners = np.concatenate([part.corners for part in parts])
    colours = np.concatenate([np.tile(part.colour, (len(part.corners), 1)) for part in parts])
    floor = _table(corners)
    corners, colours = np.concatenate([corners, floor]), np.concatenate([colours, np.tile(PAPER, (2, 1))])
    seen = (corners[:-2] @ view.T)[..., :2].reshape(-1, 2)
    scale = max(np.ptp(seen[:, 0]) / width, np.ptp(seen[:, 1]) / height) * 1.12 / finer
    size = (height * finer, width * finer)
    middle = (seen.min(axis=0) + seen.max(axis=0)) / 2
    frame = np.array([*(middle - scale * np.array(size[::-1]) / 2), scale])
    depth, number = depths(corners, view=view, size=size, frame=frame)
    rows, columns = np.nonzero(number >= 0)
    flat = np.column_stack([columns + 0.5, rows + 0.5]) * scale + frame[:2]
    points = np.column_stack([flat, depth[rows, columns]]) @ view
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-12)[:, None]
    facing = normal[number[rows, columns]]
    light = sky_light(corners, points=points, facing=facing)
    light = softened(
        light, rows=rows, columns=columns, table=number[rows, columns] >= len(corners) - 2, size=size
    )
    image = np.tile(PAPER, (*size, 1))
    image[rows, columns] = colours[number[rows, columns]] * light[:, None]
    image[_edges(depth, number, normal, scale=scale, table=len(corners) - 2)] = INK
    return np.clip(image.reshape(height, finer, width, finer, 3).mean(axis=(1, 3))[::-1], 0.0, 1.0)


def _table(corners: Floats) -> Floats:
    """Two large triangles under everything."""
    reach = 20 * np.ptp(corners.reshape(-1, 3), axis=0).max()
    z = corners[..., 2].min() - 0.01
    a, b, c, d = ([x * reach, y * reach, z] for x, y in ((-1, -1), (1, -1), (1, 1), (-1, 1)))
    return np.array([[a, b, c], [a, c, d]])


def _edges(depth: Floats, number: Floats, normal: Floats, *, scale: float, table: int) -> NDArray[np.bool_]:
    """Pixels where the depth jumps or the surface turns sharply."""
    found = np.zeros(depth.shape, dtype=bool)
    for axis in (0, 1):
        one, two = number, np.roll(number, 1, axis=axis)
        turn = np.einsum("hwc,hwc->hw", normal[one], normal[two]) < np.cos(np.radians(28.0))
        jump = np.abs(depth - np.roll(depth, 1, axis=axis)) > 14 * scale
        found |= (turn | jump) & ((one < table) | (two < table))
    return found
