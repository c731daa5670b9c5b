"""Openings through the floor and the walls, as solids to cut away (stand frame)."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cradle.errors import HolderError
from cradle.geometry.arrays import Floats
from cradle.geometry.planar import Region, area_mm2, bounds, inside, region, without
from cradle.geometry.ring import centroid, turned
from cradle.geometry.solid import Solid, extruded, transformed
from cradle.pocket.pocket import Pocket, rings_at
from cradle.project.spec import OpeningKind, OpeningSpec, Through

DRAIN_MM = 5.0
"""Diameter of a drain hole that states none."""
_ARC_POINTS = 48
_PAST_MM = 1.0
"""A cut goes on this far past what it cuts."""

# local (u along the wall, v up, w) -> stand frame
_FACING_Y = np.array([[1, 0, 0, 0], [0, 0, -1, 0], [0, 1, 0, 0], [0, 0, 0, 1]], dtype=np.float64)
_FACING_X = np.array([[0, 0, 1, 0], [1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 0, 1]], dtype=np.float64)


def opening_solids(
    openings: Sequence[OpeningSpec], *, pocket: Pocket, foot: Region, floor_mm: float
) -> list[Solid]:
    """What the openings cut away.

    Parameters
    ----------
    openings : sequence of OpeningSpec
    pocket : Pocket
    foot : Region
        The block's widest outline seen from above, stand frame.
    floor_mm : float
        Thickness of the floor under the pocket.

    Raises
    ------
    HolderError
        If an opening meets no part of the pocket.
    """
    cuts = []
    for number, spec in enumerate(openings, start=1):
        where = f"opening[{number}]"
        if spec.through is Through.FLOOR:
            cuts.append(_through_floor(spec, pocket=pocket, floor_mm=floor_mm, where=where))
        else:
            cuts.append(_through_wall(spec, pocket=pocket, foot=foot, where=where))
    return cuts


def opening_ring(spec: OpeningSpec) -> Floats:
    """The opening's outline about the origin, ``(n, 2)``, counter-clockwise, mm.

    A round hole is a polygon around its circle, so it is never smaller than
    its diameter; a slot is two half circles joined, turned by ``turn_deg``.
    """
    across = spec.width_mm if spec.kind is OpeningKind.SLOT else (spec.diameter_mm or DRAIN_MM)
    length = spec.length_mm if spec.kind is OpeningKind.SLOT else across
    if across is None or length is None:
        raise HolderError("a slot needs a width and a length", where="opening")
    angle = (np.arange(_ARC_POINTS) + 0.5) * 2 * np.pi / _ARC_POINTS
    circle = np.column_stack([np.cos(angle), np.sin(angle)]) * across / 2 / np.cos(np.pi / _ARC_POINTS)
    half = max(0.0, (length - across) / 2)
    ring = circle + np.column_stack([np.sign(circle[:, 0]) * half, np.zeros(_ARC_POINTS)])
    return turned(ring, angle_deg=spec.turn_deg)


def _through_floor(spec: OpeningSpec, *, pocket: Pocket, floor_mm: float, where: str) -> Solid:
    middle = centroid(rings_at(pocket, pocket.bottom_mm)[0]) if spec.at_mm is None else np.array(spec.at_mm)
    ring = opening_ring(spec) + middle
    shape = region(ring)
    left = area_mm2(without(shape, pocket.levels))
    under = np.flatnonzero(left < 1e-6)
    if not len(under):
        raise HolderError(
            f"the opening at ({middle[0]:.1f}, {middle[1]:.1f}) mm lies under no part of the pocket",
            where=where,
            hint="move it under the pocket or make it smaller",
        )
    top = float(pocket.heights_mm[under[0]])
    low = pocket.bottom_mm - floor_mm - _PAST_MM
    return extruded(ring, low_mm=low, high_mm=min(top + 1e-3, pocket.top_mm), where=where)


def _through_wall(spec: OpeningSpec, *, pocket: Pocket, foot: Region, where: str) -> Solid:
    x0, y0, x1, y1 = bounds(foot)
    height = (pocket.bottom_mm + pocket.top_mm) / 2 if spec.at_mm is None else spec.at_mm[1]
    level = pocket.level_at(height)
    px0, py0, px1, py1 = bounds(level)
    facing_y = spec.through in (Through.FRONT, Through.BACK)
    middle_of_wall = (px0 + px1) / 2 if facing_y else (py0 + py1) / 2
    along = middle_of_wall if spec.at_mm is None else spec.at_mm[0]
    middle = np.array([along, (py0 + py1) / 2]) if facing_y else np.array([(px0 + px1) / 2, along])
    if not pocket.bottom_mm <= height <= pocket.top_mm or not inside(middle[None], level)[0]:
        raise HolderError(
            f"the opening at ({along:.1f}, {height:.1f}) mm in the {spec.through} wall does not meet the pocket",
            where=where,
            hint="move it to where the pocket is behind the wall",
        )
    ring = opening_ring(spec) + np.array([along, height])
    inner = float(middle[1] if facing_y else middle[0])
    low, high = {
        Through.FRONT: (float(y0) - _PAST_MM, inner),
        Through.BACK: (inner, float(y1) + _PAST_MM),
        Through.LEFT: (float(x0) - _PAST_MM, inner),
        Through.RIGHT: (inner, float(x1) + _PAST_MM),
    }[spec.through]
    if facing_y:
        return transformed(extruded(ring, low_mm=-high, high_mm=-low, where=where), _FACING_Y)
    return transformed(extruded(ring, low_mm=low, high_mm=high, where=where), _FACING_X)
