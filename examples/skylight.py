"""Soft light for the picture maker: how much of the sky a point can see."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def sky_light(
    corners: Floats, *, points: Floats, facing: Floats, lights: int = 40, side: int = 300
) -> Floats:
    """Brightness of points: light from a spiral of directions over the sky, brightest from the upper left."""
    k = np.arange(lights) + 0.5
    up, around = np.sqrt(k / lights) * 0.78 + 0.2, k * np.pi * (3 - np.sqrt(5))
    level = np.sqrt(1 - up**2)
    ways = np.column_stack([level * np.cos(around), level * np.sin(around), up])
    weight = 0.35 + np.clip(ways @ np.array([-0.55, -0.60, 0.58]), 0, None) ** 3 * 2.2
    light, grains = np.zeros(len(points)), _grains(corners[:-2])
    for way, share in zip(ways, weight / weight.sum(), strict=True):
        right = np.cross([0.0, 0.0, 1.0], way) / np.hypot(way[0], way[1])
        view = np.stack([right, np.cross(way, right), way])
        seen = grains @ view.T
        low, high = seen[:, :2].min(axis=0), seen[:, :2].max(axis=0)
        step = float((high - low).max()) / side
        column, row = ((seen[:, :2] - low) / step).astype(int).T
        depth = np.full((side + 1, side + 1), -np.inf)
        np.maximum.at(depth, (row, column), seen[:, 2])
        at = (points + 0.6 * step * facing) @ view.T
        column, row = ((at[:, :2] - low) / step).astype(int).T
        within = ((at[:, :2] >= low) & (at[:, :2] <= high)).all(axis=1)
        shade = np.where(within, depth[np.clip(row, 0, side), np.clip(column, 0, side)], -np.inf)
        light += share * (shade < at[:, 2] + 1.5 * step) * np.clip(facing @ way, 0, None)
    return 0.30 + 1.12 * light


def _grains(corners: Floats, *, count: int = 900_000) -> Floats:
    """Points spread evenly over triangles, ``(n, 3)``, by a sequence that is the same every time."""
    area = np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1)
    face = np.searchsorted(np.cumsum(area), (np.arange(count) + 0.5) / count * area.sum())
    u, v = (np.outer([0.7548776662466927, 0.5698402909980532], np.arange(count)) + 0.5) % 1.0
    u, v = np.where(u + v > 1, 1 - u, u)[:, None], np.where(u + v > 1, 1 - v, v)[:, None]
    a, b, c = corners[np.minimum(face, len(corners) - 1)].transpose(1, 0, 2)
    result: Floats = a + u * (b - a) + v * (c - a)
    return result


def softened(
    light: Floats, *, rows: Floats, columns: Floats, table: NDArray[np.bool_], size: tuple[int, int]
) -> Floats:
    """The light with the shadows on the table blurred, so that single directions do not show."""
    from scipy.ndimage import gaussian_filter

    whole, share = np.zeros(size), np.zeros(size)
    whole[rows[table], columns[table]] = light[table]
    share[rows[table], columns[table]] = 1.0
    blurred = gaussian_filter(whole, size[1] / 90) / np.maximum(gaussian_filter(share, size[1] / 90), 1e-6)
    return np.where(table, blurred[rows, columns], light)
