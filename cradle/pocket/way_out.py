"""The way out: the direction along which the thing is lifted, one for its pocket and for its chance of fit."""

from __future__ import annotations

from typing import Final

import numpy as np

from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.planar import Regions
from cradle.loft.body import Body
from cradle.pocket.easiest_way import easiest_direction
from cradle.pocket.stance import highest_held_mm, stand_matrix
from cradle.pocket.sweep import Sweep
from cradle.pocket.undercut import undercut
from cradle.project.block import BlockSpec
from cradle.project.convert import AUTO, Auto, Triple

_LEVELS: Final = 24
"""The body is known at so many heights while directions are compared."""


def way_out(body: Body, *, asked: Triple | Auto, block: BlockSpec) -> Floats:
    """The unit vector along which the thing is lifted out, in its own frame, ``(3,)``.

    Of the body itself, whatever clearance it is given: the easiest of the part
    that is in the block, or the one asked for.

    Parameters
    ----------
    asked : (3,) or "auto"
        In the thing's frame.
    block : BlockSpec
        How far up it holds the thing, and its lean.
    """
    if asked == AUTO:
        heights, levels = _held(body, block=block)
        return frozen(easiest_direction(levels, heights_mm=heights))
    direction = np.array(asked, dtype=np.float64)
    direction /= np.linalg.norm(direction)
    return frozen(direction)


def least_undercut_mm(body: Body, *, block: BlockSpec) -> float:
    """How deep the undercut of the part in the block is along the easiest way out, mm."""
    heights, levels = _held(body, block=block)
    direction = easiest_direction(levels, heights_mm=heights)
    opened = Sweep.along(direction).opened(levels, heights_mm=heights)
    return undercut(levels, opened, heights_mm=heights).depth_mm


def _held(body: Body, *, block: BlockSpec) -> tuple[Floats, Regions]:
    """Heights, ``(n,)``, mm, and the body there: the part that is in the block."""
    points = body.mesh.vertices_mm
    low = float(body.heights_mm[0])
    high = highest_held_mm(
        points[:, :2],
        high_mm=float(points[:, 2].max()),
        stand_from_thing=stand_matrix(body.mesh, lean_deg=block.lean_deg),
        top_mm=block.height_mm,
    )
    edge = 1e-3 * (high - low)
    heights = np.linspace(low + edge, high - edge, _LEVELS)
    return heights, body.levels_at(heights)
