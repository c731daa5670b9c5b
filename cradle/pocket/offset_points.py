"""Points of the raw offset of a body."""

from __future__ import annotations

import numpy as np

from cradle.geometry.arrays import Floats, Ints
from cradle.noun import noun
from cradle.pocket.clearance import ClearanceProfile

_NULL = 1e-6
"""A shorter sum of unit vectors points nowhere."""


@noun
class OffsetPoints:
    """Points of the raw offset: each lies ``reach`` along ``way`` from its ``base`` on the body."""

    base: Floats
    way: Floats
    reach: Floats

    def places(self) -> Floats:
        """Where they lie, ``(n, 3)``, mm."""
        return self.base + self.reach[:, None] * self.way

    def with_round(
        self, base: Floats, way: Floats, *, clearance: ClearanceProfile, chord_rad: Floats | float
    ) -> OffsetPoints:
        """These points, and after them others, so far out that chords between them of the angle ``chord_rad`` touch the ball."""
        return OffsetPoints(
            base=np.concatenate([self.base, base]),
            way=np.concatenate([self.way, way]),
            reach=np.concatenate([self.reach, clearance.at(base[:, 2]) / np.cos(chord_rad / 2)]),
        )


def directions(vectors: Floats, *, otherwise: Floats) -> Floats:
    """Vectors ``(n, 3)`` brought to length 1; others, ``(n, 3)``, in place of those that are all but null."""
    size = np.linalg.norm(vectors, axis=1, keepdims=True)
    return np.where(size > _NULL, vectors / np.maximum(size, _NULL), otherwise)


def angles_rad(ways: Floats, pairs: Ints) -> Floats:
    """The angle between the two ways of each pair, rad."""
    cosine = np.einsum("ij,ij->i", ways[pairs[:, 0]], ways[pairs[:, 1]])
    return np.arccos(np.clip(cosine, -1, 1))
