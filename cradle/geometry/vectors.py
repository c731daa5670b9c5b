"""Vectors: their length, unit length; in the plane also their cross product, a quarter turn, the turn from one to another.

All take one vector or many, ``(..., 2)``; `lengths` and `unit` of any number of components.
"""

from __future__ import annotations

import numpy as np

from cradle.geometry.arrays import Floats


def cross(one: Floats, other: Floats) -> Floats:
    """The area between vectors, ``(...)``: positive where the other points to the left of the one.

    Examples
    --------
    >>> float(cross(np.array([2.0, 0.0]), np.array([1.0, 3.0])))
    6.0
    """
    return np.asarray(one[..., 0] * other[..., 1] - one[..., 1] * other[..., 0])


def left_of(vectors: Floats) -> Floats:
    """Vectors turned a quarter to the left, ``(..., 2)``; to the right where y counts downwards."""
    return np.stack([-vectors[..., 1], vectors[..., 0]], axis=-1)


def lengths(vectors: Floats) -> Floats:
    """Lengths of vectors ``(..., d)``, ``(...)``."""
    if vectors.shape[-1] == 2:  # where `hypot` is several times faster
        return np.hypot(vectors[..., 0], vectors[..., 1])
    return np.asarray(np.linalg.norm(vectors, axis=-1))


def unit(vectors: Floats) -> Floats:
    """Vectors brought to length 1, ``(..., d)``; null vectors stay."""
    length = lengths(vectors)
    return np.asarray(vectors / np.where(length > 0, length, 1.0)[..., None])


def turn_rad(one: Floats, other: Floats) -> Floats:
    """The turn from vectors to others, ``(...)``, −π to π, positive to the left."""
    return np.asarray(np.arctan2(cross(one, other), (one * other).sum(axis=-1)))
