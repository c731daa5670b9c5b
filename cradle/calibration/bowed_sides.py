"""What a card's sides tell of the lens: they are straight, and a lens bows them.

How the camera leans bends no straight line, so the lens is told apart from that. What a lens that moves points outwards
by ``k1 s²`` of their distance from the picture's middle, s in parts of its half diagonal, does to the bow of a side is
found by straightening the side with a little of it; bows are then all but linear in k1.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from cradle.calibration.calibration import lens_of, straightened
from cradle.geometry.arrays import Floats
from cradle.geometry.vectors import left_of, unit
from cradle.noun import noun

_TRIED: Final = 0.01
_ROUNDS: Final = 3
_LEAST_POINTS: Final = 12
_SURE: Final = 2.5
"""A coefficient of no more than this many of its own spreads may be a usual lens's: what is small in the picture bows by chance."""


@noun
class LensSeen:
    """A lens's coefficient, as `cradle.calibration.calibration.Lens` has it, and its standard uncertainty."""

    k1: float
    spread: float

    def varies(self, usual: float) -> float:
        """The spread of lenses' distortion to assume in this picture: the usual one, or a larger one that explains a lens that surely is not usual.

        That is, of a normal prior with mean 0, the variance under which what is seen is most likely.
        """
        if abs(self.k1) <= _SURE * self.spread:
            return usual
        return float(np.sqrt(max(usual**2, self.k1**2 - self.spread**2)))

    def believed(self, usual: float) -> float:
        """The coefficient drawn towards 0 by how lenses vary."""
        prior = self.varies(usual) ** 2
        return self.k1 * prior / (prior + self.spread**2)


def lens_seen(sides_px: Sequence[Floats], size_px: tuple[int, int], *, spread_px: float) -> LensSeen | None:
    """The lens that makes sides straight; None where they hardly tell.

    Parameters
    ----------
    sides_px : sequence of (n, 2)
        Points along each side in order.
    size_px : (int, int)
        The picture's.
    spread_px : float
        Standard uncertainty of a side's bow, from its ends to its middle.
    """
    sides = [side for side in sides_px if len(side) >= _LEAST_POINTS]
    lens = lens_of(size_px, 0.0)
    for _ in range(_ROUNDS):
        bow = np.array([bow_px(straightened(lens, side)) for side in sides])
        more = replace(lens, k1=lens.k1 + _TRIED)
        slope = (np.array([bow_px(straightened(more, side)) for side in sides]) - bow) / _TRIED
        told = float(slope @ slope)
        if told <= 0:
            return None
        lens = replace(lens, k1=lens.k1 - float(slope @ bow) / told)
    left = bow - slope * float(slope @ bow) / told
    unlike = float(left @ left) / max(1, len(sides) - 1) / spread_px**2
    return LensSeen(k1=lens.k1, spread=spread_px * float(np.sqrt(max(1.0, unlike) / told)))


def bow_px(points: Floats) -> float:
    """How far the middle of a side lies off the line through its ends, px, by the parabola through its points."""
    ahead = unit(points[-1] - points[0])
    along, off = (points - points[0]) @ ahead, (points - points[0]) @ left_of(ahead)
    half = float(np.ptp(along)) / 2
    return float(np.polyfit(along / half, off, 2)[0])
