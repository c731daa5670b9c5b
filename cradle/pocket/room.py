"""Room made where a finished pocket is still too tight: the raw offset of a crumpled skin may fall short at single spots."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from cradle.geometry.arrays import Floats
from cradle.geometry.mesh import area_normals, corners
from cradle.geometry.planar import united
from cradle.geometry.solid import (
    Solid,
    around_ball,
    box_mm,
    cut_regions,
    gap_mm,
    hull,
    layer,
    lowest_mm,
    mesh_of,
    slabs,
    surroundings,
    transformed,
    union,
    within_box,
)
from cradle.pocket.pocket import ABOVE_MM, Pocket

_SPOT_MM = 0.8
"""Room is made around parts of the body no larger than this."""
_MOST_SPOTS = 200
"""Room is made around at most this many such parts: each takes some milliseconds."""
_ROUND_MM = 0.01
"""How far corners of room lie outside the ball of the clearance."""
_PIECES = 4
"""A part of the body is cut into at most this many pieces at once: halving it twice would measure its faces twice as often."""
_SHIFTS = (0.0, -0.2, 0.3)
"""If no piece of a near part is near, as the kernel now and then measures one too far, the cuts are shifted by these parts of a piece."""
_CUT_OUT_MM = 12.0
"""Before a larger part is divided the wall beside it is cut out; for a smaller one that takes longer than it saves."""
_BESIDE_MM = 5.0
"""How far around the pocket its wall is looked at."""


class _Room(NamedTuple):
    """A convex solid, the normals of its faces, ``(f, 3)``, and how far out along each a point has its clearance, ``(f,)``."""

    solid: Solid
    normals: Floats
    outs: Floats

    def holds(self, points: Floats) -> bool:
        """Whether every point has its clearance in it."""
        return bool(np.all((points @ self.normals.T).max(axis=0) <= self.outs))


def with_room(pocket: Pocket, body: Solid, *, least_mm: float) -> Pocket:
    """The pocket with more room wherever its wall is nearer to the body than ``least_mm``.

    Each small part of the body that lacks room gets all of its clearance: the hull
    of the Minkowski sum of that part and the ball of the clearance, swept along the
    way out. The pocket's undercut does not count what this adds.

    Parameters
    ----------
    body : Solid
        In its own frame.
    least_mm : float
        Clearance that counts as tight below it.
    """
    placed = pocket.stand_from_thing

    def clearance_at(points: Floats) -> Floats:
        return pocket.clearance.at((points - placed[:3, 3]) @ placed[:3, 2])

    room = lacking_room(
        pocket.solid,
        transformed(body, placed),
        low_mm=pocket.bottom_mm - _BESIDE_MM,
        top_mm=pocket.top_mm,
        clearance_at=clearance_at,
        direction=pocket.direction,
        least_mm=least_mm,
    )
    if room is None:
        return pocket
    wider = union([pocket.solid, room], where="pocket")
    return replace(
        pocket,
        # among slabs a few micrometres thin the kernel may leave a fin of wall within the room: joined twice, it goes
        solid=union([wider, room], where="pocket"),
        levels=united(pocket.levels, cut_regions(room, pocket.heights_mm)),
    )


def lacking_room(
    hollow: Solid,
    body: Solid,
    *,
    low_mm: float,
    top_mm: float,
    clearance_at: Callable[[Floats], Floats],
    direction: Floats,
    least_mm: float,
) -> Solid | None:
    """The room that the wall around a hollow must give up to a body; None where it is nowhere too near.

    Parameters
    ----------
    hollow, body : Solid
        In one frame, in which all else is given.
    low_mm, top_mm : float
        From where to where the wall goes.
    clearance_at : callable
        From ``(n, 3)`` points of the body to the clearance of each.
    direction : (3,) float64
        Way out.
    least_mm : float
        Clearance that counts as tight below it.
    """
    wall = layer(surroundings(hollow, margin_mm=_BESIDE_MM), low_mm=low_mm, high_mm=top_mm)
    if gap_mm(wall, body, within_mm=least_mm) >= least_mm:
        return None
    spots = sorted(_tight(body, wall, least_mm=least_mm), key=lowest_mm)
    if not spots:
        return None
    rooms: list[_Room] = []
    least = around_ball(least_mm, within_mm=_ROUND_MM)
    # from the lowest up; a spot that has its clearance in a room from below needs none
    for spot in spots:
        points = mesh_of(spot).vertices_mm
        if any(room.holds(points) for room in rooms):
            continue
        ball = around_ball(float(clearance_at(points).max()), within_mm=_ROUND_MM)
        grown = (points[:, None] + ball).reshape(-1, 3)
        rooms.append(_room(grown, top_mm=top_mm, direction=direction, around=least))
    return union([one.solid for one in rooms], where="pocket")


def _tight(body: Solid, wall: Solid, *, least_mm: float) -> list[Solid]:
    """Small parts of the body that are nearer to the wall than ``least_mm``, found by cutting it up again and again."""
    found: list[Solid] = []
    parts = [(body, wall)]
    while parts and len(found) < _MOST_SPOTS:
        part, around = parts.pop()
        low, high = box_mm(part)
        across = int(np.argmax(high - low))
        length = float(high[across] - low[across])
        if length <= _SPOT_MM:
            found.append(part)
            continue
        count = min(_PIECES, int(np.ceil(length / _SPOT_MM)))
        for shift in _SHIFTS:
            at = low[across] + (np.arange(1, count) + shift) / count * length
            pieces = slabs(part, axis=across, at_mm=at)
            near = [piece for piece in pieces if gap_mm(around, piece, within_mm=least_mm) < least_mm]
            if near:
                break
        parts += [(piece, _beside(piece, around, reach_mm=2 * least_mm)) for piece in near]
    return found


def _beside(part: Solid, wall: Solid, *, reach_mm: float) -> Solid:
    """The part of the wall that may be near to a part of the body; all of the wall where that part is small."""
    low, high = box_mm(part)
    if (high - low).max() <= _CUT_OUT_MM:
        return wall
    return within_box(wall, low_mm=low - reach_mm, high_mm=high + reach_mm)


def _room(points: Floats, *, top_mm: float, direction: Floats, around: Floats) -> _Room:
    """The hull of points swept along the way out, past the block's top; a point has its clearance in it if all of ``around`` it, ``(n, 3)``, is in it."""
    rise = top_mm + ABOVE_MM - float(points[:, 2].min())
    made = hull(np.concatenate([points, points + rise / direction[2] * direction]))
    faces = mesh_of(made)
    normals = area_normals(faces)
    outs = np.einsum("fi,fi->f", normals, corners(faces)[:, 0])
    return _Room(made, normals, outs - (around @ normals.T).max(axis=0))
