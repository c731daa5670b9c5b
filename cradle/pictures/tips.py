"""Sharp tips of an edge, which no level line reaches, carried on as far as the light there says.

Where an edge turns back at a sharp angle, and both sides are straight up to there,
the tip that they meet in is fitted to the light that its pixels mix (`fitted_tip`);
a rounded tip comes out rounded. What cannot be told is stated.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.ring import arc_positions, signed_area
from cradle.geometry.vectors import cross
from cradle.noun import noun
from cradle.pictures.smooth import corner_places
from cradle.pictures.steepest import WIDTH, SteepestEdge
from cradle.pictures.tip_fit import NEAR_PX, UNLIKE, FittedTip, Made, Wedge, fitted_tip

if TYPE_CHECKING:
    from cradle.geometry.arrays import Bools, Ints, Singles

_LOOK_PX: Final = 10.0
"""Length either side over which an edge's turning is taken, and which a fitted tip takes the place of."""
_FROM_PX: Final = 6.0
_TO_PX: Final = 22.0
_LEAST_PX: Final = 5.0
"""A side's direction is taken between the first two distances from its corner, and over at least the third."""
_FREE: Final = 0.8
"""Part of the way to the next corner that a side is looked at."""
_STRAIGHT_PX: Final = 0.6
"""Root mean square distance from a straight line that a side may have."""
_ANGLES_DEG: Final = (8.0, 98.0)
_FITTED_PX: Final = 10.0
_FITTED: Final = 1.5
"""How far along its sides a tip is fitted, and how much further for each px that the edge falls short of it: a drop's sides bend
further off."""
_SHARP_DEG: Final = 80.0
"""At a blunter corner the edge falls short by a pixel or two at most: one that is surely rounded, or cannot be fitted, stays as seen."""
_ROUNDED_PX: Final = 5.0
"""A blunt corner that seems rounded by a larger radius surely is."""
_MOST: Final = 24
"""Tips fitted on an edge, the sharpest first: a comb's teeth take no longer than they must."""
_SHARP_PX: Final = 0.4
"""A smaller radius, or one that takes less than this off the tip, counts as 0: that much is found of tips drawn without any."""
_RESOLVED_PX: Final = 4.0
"""The level line follows a tip of a larger radius well enough."""
_BEYOND: Final = 1.5
"""How far a fit may carry a tip, as part of the way to where the sides meet."""
_ARC_POINTS: Final = 15


@noun
class UnclearTip:
    """A tip of which a picture does not tell how far it reaches: its place, and by how much further it may, px."""

    at_px: Floats
    unsure_px: float


def with_tips(
    edge: SteepestEdge, field: Singles, *, mixed: Bools | None = None
) -> tuple[SteepestEdge, tuple[UnclearTip, ...]]:
    """An edge with its sharp tips as far as they reach, and those of which this is not told.

    Parameters
    ----------
    field : (h, w)
        The piece's part of the light, 1 on it and 0 on the ground.
    mixed : (h, w) bool, optional
        Where there is other light as well, of lines on the ground, which tells nothing of the sides.
    """
    spacing = float(arc_positions(edge.ring_px)[-1]) / len(edge.ring_px)
    corners = corner_places(edge.ring_px, step_mm=spacing, look_mm=_LOOK_PX)
    seen = [each for each in (_corner(edge.ring_px, int(c), corners, spacing) for c in corners) if each]
    blur = float(np.quantile(edge.width_px, 0.2)) / WIDTH
    unclear: list[UnclearTip] = []
    for corner in sorted(seen, key=lambda each: each.guess.half_rad)[:_MOST]:
        if not corner.sharp and corner.guess.radius_px > _ROUNDED_PX:
            continue
        found = fitted_tip(field, corner.guess, length_px=corner.length_px, blur_px=blur, mixed=mixed)
        if found is None or not _likely(found, corner):
            if corner.guess.radius_px < _RESOLVED_PX and corner.sharp:
                edge = _unsure(edge, corner)
                unclear.append(UnclearTip(at_px=corner.guess.end_px, unsure_px=corner.missing_px))
        elif found.wedge.radius_px < _RESOLVED_PX:
            edge = _carried_on(edge, corner, found)
            unclear.append(UnclearTip(at_px=found.wedge.end_px, unsure_px=found.unsure_px))
    return edge, tuple(unclear)


@noun
class _Corner:
    """A corner of an edge whose sides are straight: its point's number, the wedge, and how long its sides are seen."""

    at: int
    reach: int
    """Points of the edge to either side over which it turns."""
    guess: Wedge
    missing_px: float
    """Distance from the edge's own tip to where its sides meet."""
    length_px: float

    @property
    def sharp(self) -> bool:
        """Whether no level line comes near the place where its sides meet."""
        return self.guess.half_rad < np.radians(_SHARP_DEG) / 2


def _corner(ring: Floats, at: int, corners: Ints, spacing: float) -> _Corner | None:
    """A sharp corner between straight sides, or None."""
    others = (corners[corners != at] - at) % len(ring)
    before, after = (int((way * others % len(ring)).min(initial=len(ring))) for way in (-1, 1))
    one, two = _side(ring, at, -1, before * spacing, spacing), _side(ring, at, 1, after * spacing, spacing)
    if one is None or two is None:
        return None
    inward = np.array([one.along, two.along])
    angle = float(np.degrees(np.arccos(np.clip(one.along @ two.along, -1.0, 1.0))))
    if not _ANGLES_DEG[0] < angle < _ANGLES_DEG[1]:
        return None
    meet = np.linalg.solve(np.column_stack([one.along, -two.along]), two.middle - one.middle)
    apex = one.middle + meet[0] * one.along
    length = min(float((side.end - apex) @ side.along) for side in (one, two))
    if length < _LEAST_PX:
        return None
    reach = max(2, round(_LOOK_PX / spacing))
    near = ring[np.arange(at - reach, at + reach + 1) % len(ring)]
    end = near[int(((near - apex) @ inward.sum(axis=0)).argmin())]
    made = Made.OF_PIECE if cross(*inward) * signed_area(ring) < 0 else Made.OF_GROUND
    missing = float(np.hypot(*(end - apex)))
    rounding = missing / (1 / np.sin(np.radians(angle) / 2) - 1)
    guess = Wedge(end_px=frozen(end), inward=frozen(inward), radius_px=rounding, made=made)
    fitted = min(length, _FITTED_PX + _FITTED * missing)
    return _Corner(at=at, reach=reach, guess=guess, missing_px=missing, length_px=fitted)


@noun
class _Side:
    """A straight side: its middle, the direction away from its corner, and its far end."""

    middle: Floats
    along: Floats
    end: Floats


def _side(ring: Floats, at: int, way: int, room_px: float, spacing: float) -> _Side | None:
    """The side that runs from a corner one way, or None where it is not straight."""
    to = min(_TO_PX, _FREE * room_px)
    if to < _FROM_PX + _LEAST_PX:
        return None
    steps = np.arange(round(_FROM_PX / spacing), round(to / spacing) + 1)
    points = ring[(at + way * steps) % len(ring)]
    middle = points.mean(axis=0)
    _, spread, axes = np.linalg.svd(points - middle)
    if spread[1] / np.sqrt(len(points)) > _STRAIGHT_PX:
        return None
    along = axes[0] * np.sign(axes[0] @ (points[-1] - points[0]))
    return _Side(middle=middle, along=np.asarray(along), end=points[-1])


def _likely(found: FittedTip, corner: _Corner) -> bool:
    """Whether a fitted tip explains the light, and lies where the sides lead to."""
    moved = corner.guess.end_px - found.wedge.end_px
    out = float(moved @ corner.guess.axis)
    aside = float(np.hypot(*(moved - out * corner.guess.axis)))
    bent = [float(a @ b) for a, b in zip(found.wedge.inward, corner.guess.inward, strict=True)]
    seen = corner.guess.apex_px + corner.length_px * corner.guess.inward
    strays = float(np.abs(cross(seen - found.wedge.apex_px, found.wedge.inward)).max())
    return (
        found.left < UNLIKE
        and (corner.sharp or np.hypot(found.unsure_px, strays) < corner.missing_px)
        and -2.0 < out < _BEYOND * corner.missing_px + 3.0
        and aside < 2.0 + 0.3 * abs(out)
        and min(bent) > np.cos(np.radians(15.0))
    )


def _carried_on(edge: SteepestEdge, corner: _Corner, found: FittedTip) -> SteepestEdge:
    """The edge with the points near a corner moved onto the fitted tip; there are as many as before."""
    ring = edge.ring_px.copy()
    own = np.arange(corner.at - corner.reach, corner.at + corner.reach + 1) % len(ring)
    path = _path(found.wedge, ring[own[0]], ring[own[-1]])
    if path is None:
        return edge
    if found.near is not None:
        path = _with_end(path, found.near)
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(path, axis=0).T))])
    stations = np.linspace(0.0, along[-1], len(own))
    tip = along[len(path) // 2]
    stations[int(np.abs(stations - tip).argmin())] = tip
    ring[own] = np.column_stack([np.interp(stations, along, each) for each in path.T])
    unsure = edge.unsure_px.copy()
    unsure[own] = np.hypot(unsure[own], found.unsure_px * np.sin(found.wedge.half_rad))
    return replace(edge, ring_px=frozen(ring), unsure_px=frozen(unsure))


def _unsure(edge: SteepestEdge, corner: _Corner) -> SteepestEdge:
    """The edge with its uncertainty at a corner increased by the length of the tip that it may miss."""
    unsure = edge.unsure_px.copy()
    round_it = corner.at + np.arange(-1, 2)
    unsure[round_it % len(unsure)] += corner.missing_px
    return replace(edge, unsure_px=frozen(unsure))


def _with_end(path: Floats, end: Wedge) -> Floats:
    """A path round a tip, ``(n, 2)`` px, with the part round its end replaced by ``end``, which was fitted alone."""
    first, last = end.apex_px + NEAR_PX * end.inward
    own = _path(end, first, last)
    return path if own is None else np.concatenate([path[:1], own, path[-1:]])


def _path(wedge: Wedge, start: Floats, stop: Floats) -> Floats | None:
    """The path along one side of a wedge from beside ``start``, round its end and back to beside ``stop``, ``(n, 2)`` px; its middle point is at the end.

    None where the rounding begins further out than both places.
    """
    if min(wedge.radius_px, float(np.hypot(*(wedge.end_px - wedge.apex_px)))) < _SHARP_PX:
        wedge = replace(wedge, end_px=wedge.apex_px, radius_px=0.0)
    apex, half = wedge.apex_px, wedge.half_rad
    straight = wedge.radius_px / np.tan(half)
    far = [float((place - apex) @ along) for place, along in zip((start, stop), wedge.inward, strict=True)]
    if min(far) <= straight:
        return None
    ends = apex + wedge.inward * np.array(far)[:, None]
    if not wedge.radius_px:
        return np.array([ends[0], apex, ends[1]])
    angles = np.arctan2(*-wedge.axis[::-1]) + np.linspace(-1.0, 1.0, _ARC_POINTS) * (np.pi / 2 - half)
    arc = wedge.end_px + wedge.radius_px * (wedge.axis + np.column_stack([np.cos(angles), np.sin(angles)]))
    return np.concatenate([ends[:1], arc if _forward(arc, ends) else arc[::-1], ends[1:]])


def _forward(arc: Floats, ends: Floats) -> bool:
    """Whether an arc begins nearer the first end."""
    return float(np.hypot(*(arc[0] - ends[0]))) < float(np.hypot(*(arc[-1] - ends[0])))
