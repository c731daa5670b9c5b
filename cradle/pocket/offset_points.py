"""Points of the raw offset of a body."""

from __future__ import annotations

import numpy as np

from cradle.geometry.arrays import Floats, Ints
from cradle.noun import noun


@noun
class OffsetPoints:
    """Points of the raw offset: each lies ``reach`` along ``way`` from its ``base`` on the body."""

    base: Floats
    way: Floats
    reach: Floats

    def places(self) -> Floats:
        """Where they lie, ``(n, 3)``, mm."""
        return self.base + self.reach[:, None] * self.way

    def and_more(self, base: Floats, way: Floats, reach: Floats) -> OffsetPoints:
        """These points and others after them."""
        return OffsetPoints(
            base=np.concatenate([self.base, base]),
            way=np.concatenate([self.way, way]),
            reach=np.concatenate([self.reach, reach]),
        )


def angles_rad(ways: Floats, pairs: Ints) -> Floats:
    """The angle between the two ways of each pair, rad."""
    cosine = np.einsum("ij,ij->i", ways[pairs[:, 0]], ways[pairs[:, 1]])
    return np.arccos(np.clip(cosine, -1, 1))
