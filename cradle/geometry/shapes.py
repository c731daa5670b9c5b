"""Circles and rectangles, with round corners or sharp ones, as rings."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from cradle.geometry.arrays import Floats, preceding

CORNERS: Final = np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])
"""The corners of a rectangle of half size 1, counter-clockwise from the lower left."""


def circle_inside(radius_mm: float, *, points: int) -> Floats:
    """A regular polygon in a circle about the origin, ``(points, 2)``, mm, counter-clockwise."""
    angle = np.arange(points) * 2 * np.pi / points
    return radius_mm * np.column_stack([np.cos(angle), np.sin(angle)])


def circle_around(radius_mm: float, *, points: int) -> Floats:
    """A regular polygon around a circle about the origin, never smaller than it, ``(points, 2)``, mm."""
    angle = (np.arange(points) + 0.5) * 2 * np.pi / points
    return np.column_stack([np.cos(angle), np.sin(angle)]) * radius_mm / np.cos(np.pi / points)


def rectangle(low_mm: ArrayLike, high_mm: ArrayLike) -> Floats:
    """The rectangle between two opposite corners, ``(4, 2)``, mm, counter-clockwise from the lower left.

    Examples
    --------
    >>> rectangle((0, 0), (4, 2)).tolist()
    [[0.0, 0.0], [4.0, 0.0], [4.0, 2.0], [0.0, 2.0]]
    """
    return np.where(CORNERS < 0, np.asarray(low_mm), np.asarray(high_mm)).astype(np.float64)


def rounded_rectangle(low_mm: Floats, high_mm: Floats, *, radii_mm: Sequence[float], steps: int) -> Floats:
    """A rectangle with round corners, ``(n, 2)``, mm, counter-clockwise.

    Parameters
    ----------
    low_mm, high_mm : (2,) float64
        Two opposite corners of the rectangle.
    radii_mm : sequence of 4 float
        Of the corners, counter-clockwise from the lower left; 0 leaves one sharp.
    steps : int
        Chords to a quarter circle, inscribed: both ends lie on the sides.

    Examples
    --------
    >>> rounded_rectangle([0, 0], [4, 2], radii_mm=[0, 0, 1, 0], steps=1).round(9).tolist()
    [[0.0, 0.0], [4.0, 0.0], [4.0, 1.0], [3.0, 2.0], [0.0, 2.0]]
    """
    middle, half = np.add(low_mm, high_mm) / 2, np.subtract(high_mm, low_mm) / 2
    corners = []
    for k, (signs, radius) in enumerate(zip(CORNERS, radii_mm, strict=True)):
        if radius <= 0:
            corners.append([middle + signs * half])
            continue
        angle = np.radians(180 + 90 * k + np.linspace(0, 90, steps + 1))
        corner = middle + signs * (half - radius) + radius * np.column_stack([np.cos(angle), np.sin(angle)])
        corner[0, k % 2] = (middle + signs * half)[k % 2]  # whatever cos(90°) rounds to
        corner[-1, 1 - k % 2] = (middle + signs * half)[1 - k % 2]
        corners.append(corner)
    ring = np.concatenate(corners)
    return np.asarray(ring[np.linalg.norm(ring - preceding(ring), axis=1) > 1e-9])
