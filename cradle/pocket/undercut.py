"""Undercut: where the way out is wider than the grown body, so that the pocket does not hold the thing."""

from __future__ import annotations

from math import inf

import numpy as np

from cradle.geometry.arrays import Floats
from cradle.geometry.planar import Regions, outer_rings
from cradle.geometry.region_measures import area_mm2, distances, perimeter_mm
from cradle.noun import record

_LEAST_DEPTH_MM = 0.01
"""An undercut shallower than this is none."""


@record
class Undercut:
    """Where the thing holds itself in: depth in mm and the place of the deepest.

    ``by_height_mm`` holds rising heights, each with the depth there.
    """

    depth_mm: float
    place_mm: tuple[float, float, float] | None
    by_height_mm: tuple[tuple[float, float], ...] = ()

    def held_to_mm(self, *, room_mm: float) -> float:
        """The greatest height at which the undercut is no deeper than ``room_mm``, mm; −∞ where it is deeper everywhere.

        >>> Undercut(
        ...     depth_mm=4.0, place_mm=(0.0, 0.0, 20.0), by_height_mm=((10.0, 0.0), (20.0, 4.0))
        ... ).held_to_mm(room_mm=1.0)
        12.5
        >>> Undercut(depth_mm=0.5, place_mm=(0.0, 0.0, 10.0), by_height_mm=((10.0, 0.5), (20.0, 0.0))).held_to_mm(
        ...     room_mm=1.0
        ... )
        20.0
        """
        held = [k for k, (_, depth) in enumerate(self.by_height_mm) if depth <= room_mm]
        if not held:
            return -inf
        height, depth = self.by_height_mm[held[-1]]
        if held[-1] + 1 == len(self.by_height_mm):
            return height
        above, more = self.by_height_mm[held[-1] + 1]
        return height + (above - height) * (room_mm - depth) / (more - depth)


def undercut(grown: Regions, opened: Regions, *, heights_mm: Floats) -> Undercut:
    """How much wider the way out is than the grown body."""
    extra = area_mm2(opened) - area_mm2(grown)
    wide = np.flatnonzero(extra > _LEAST_DEPTH_MM * perimeter_mm(opened) / 10)
    depths = np.zeros(len(heights_mm))
    depth, place = 0.0, None
    for k in wide.tolist():
        ring = np.concatenate(outer_rings(opened[k]))
        away = distances(ring, grown[k])
        worst = int(np.argmax(away))
        depths[k] = away[worst]
        if away[worst] > depth:
            depth = float(away[worst])
            place = (float(ring[worst, 0]), float(ring[worst, 1]), float(heights_mm[k]))
    if depth < _LEAST_DEPTH_MM:
        return Undercut(depth_mm=0.0, place_mm=None)
    return Undercut(
        depth_mm=depth,
        place_mm=place,
        by_height_mm=tuple(zip(heights_mm.tolist(), depths.tolist(), strict=True)),
    )
