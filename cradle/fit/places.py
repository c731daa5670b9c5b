"""Places: points of the thing's skin where it could touch the pocket, level by level, and what the pocket leaves them.

On its way out every place sweeps upward past the levels above, so the pocket is
at least as wide there as what passes: that is the *room* the way out leaves
beyond the clearance, and clearance given to a lower level is *carried* up.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Final

import numpy as np

from cradle.fit.best_position import Seats, fits, seats
from cradle.geometry.arrays import Bools, Floats, Ints, frozen, frozen_ints
from cradle.geometry.knots import divided
from cradle.geometry.planar import made_sound, regions
from cradle.geometry.region_measures import area_mm2, distances_to_boundary
from cradle.geometry.ring import arc_positions, at_heights, resample
from cradle.geometry.vectors import cross, left_of, turn_rad, unit
from cradle.loft.body import Body
from cradle.noun import noun
from cradle.pocket.stance import StandFromThing, highest_held_mm
from cradle.pocket.sweep import Sweep

AROUND: Final = 48
"""Places around each level, besides its corners."""
BETWEEN: Final = 2
"""Levels between two sections, unless these lie too near."""
_NEAREST_MM: Final = 1.0
"""No two levels lie nearer to each other than this."""
_CORNER_DEG: Final = 40.0
"""A ring that turns by more than this at a place has a corner there."""
_FINE: Final = 720
"""Corners are looked for at this many points around."""
_REACH: Final = 6
"""A corner turns within this many of these points to either side."""
_STEP_MM: Final = 0.5
"""How far above and below a level the skin tells how it leans there."""
_FAR_MM: Final = 3.0
"""A place to which the way out leaves this much room beyond the clearance is never touched: it is left out."""
_NOTHING_MM2: Final = 0.01
"""If opening adds less than this to the area of a level, it counts as not opened."""
_NO_ROOM_MM: Final = 0.01
"""Less room than this counts as none."""
_ALIKE: Final = 0.9
"""Clearance is carried up from the place below only if that looks the same way: the product of both level normals is at least
this part of the upper one's square."""


@noun
class Places:
    """Where the thing could touch, in its own frame.

    Attributes
    ----------
    points_mm : (j, 3) float64
    normals : (j, 3) float64
        Unit vectors out of the thing.
    along : (j,) float64
        Share of the way round the thing, in [0, 1).
    levels : (j,) int64
        Index into ``heights_mm``.
    heights_mm : (l,) float64
        Of the levels, rising; the sections' heights within the holder's reach are among them.
    sizes_mm : (l, 2) float64
        Width and depth of the thing at each level.
    even_mm : (l,) float64
        The levels' even heights (see `cradle.loft`): where a form that changed evenly would have gone as far.
    room_mm : (j,) float64
        Room that the way out leaves beyond the clearance, square to the skin.
    under : (j,) int64
        The place on the level below whose clearance is carried up to this one; its own index where there is none.
    under_mm : (j,) float64
        How far outside this place that one passes on its way out, square to the skin; negative inside.
    round_mm : float
        Mean length of the way round the thing.
    lever_mm : float
        Mean distance of the places from the middle.
    middle_mm : (2,) float64
        The point that the thing is imagined to turn about.
    """

    points_mm: Floats
    normals: Floats
    along: Floats
    levels: Ints
    heights_mm: Floats
    sizes_mm: Floats
    even_mm: Floats
    room_mm: Floats
    under: Ints
    under_mm: Floats
    round_mm: float
    lever_mm: float
    middle_mm: Floats

    @property
    def held_to_mm(self) -> float:
        """The greatest height at which something of the thing is in the holder."""
        return float(self.heights_mm[-1])

    @property
    def z_mm(self) -> Floats:
        """Height of each place's level, ``(j,)``."""
        return self.heights_mm[self.levels]

    @property
    def even_z_mm(self) -> Floats:
        """Even height of each place's level, ``(j,)``."""
        return self.even_mm[self.levels]

    @property
    def directions(self) -> Floats:
        """Outward movement for 1 mm of shift along x, y and of turn at the lever's end, ``(j, 3)``."""
        r = self.points_mm[:, :2] - self.middle_mm
        turn = cross(r, self.normals) / self.lever_mm
        return np.column_stack([self.normals[:, :2], turn])

    def clearances_mm(self, at_levels_mm: Floats) -> Floats:
        """The clearance that every place has, ``(j,)``, mm, where each level asks for its own, ``(l,)``.

        A place has what its level asks for, or more where a greater clearance below is carried up to it.
        """
        asked = at_levels_mm[self.levels]
        if np.ptp(at_levels_mm) == 0:
            return asked
        return self._opened_mm(asked) - self._opened_mm(np.zeros_like(asked))

    def _opened_mm(self, clearances_mm: Floats) -> Floats:
        """How far outside each place the pocket's wall lies, ``(j,)``, mm: its own clearance, or what the place below carries past it."""
        out = clearances_mm.copy()
        ends = np.searchsorted(self.levels, np.arange(len(self.heights_mm) + 1))
        for low, high in pairwise(ends.tolist()):
            carried = out[self.under[low:high]] + self.under_mm[low:high]
            out[low:high] = np.maximum(out[low:high], carried)
        return out

    def seats(
        self, deviations_mm: Floats, *, start: Ints | None = None, asked_mm: Floats | float = 0.0
    ) -> Seats:
        """The seat of each draw (`cradle.fit.best_position.seats`)."""
        return seats(self.directions, deviations_mm, lever_mm=self.lever_mm, start=start, asked_mm=asked_mm)

    def fits(self, deviations_mm: Floats, *, start: Ints, asked_mm: Floats) -> Bools:
        """Whether each draw's tightness is 0 or less, ``(n,)`` (`cradle.fit.best_position.fits`)."""
        return fits(self.directions, deviations_mm, lever_mm=self.lever_mm, start=start, asked_mm=asked_mm)


def places_on(
    body: Body,
    *,
    section_heights_mm: Sequence[float],
    stand_from_thing: StandFromThing,
    top_mm: float,
    direction: Floats,
    end_mm: float | None = None,
) -> Places:
    """The places of a body within the holder's reach.

    Parameters
    ----------
    section_heights_mm : sequence of float
        Rising.
    top_mm : float
        Height of the block's top in the stand frame.
    direction : (3,) float64
        Unit vector along which the thing is lifted out, in its own frame.
    end_mm : float or None
        The thing's own overall height, where it is known: nothing of it is above.
    """
    up = stand_from_thing[2]
    high = highest_held_mm(
        body.rings_mm.reshape(-1, 2),
        high_mm=float(body.heights_mm[-1]),
        stand_from_thing=stand_from_thing,
        top_mm=top_mm,
    )
    if end_mm is not None:
        high = min(high, max(end_mm, section_heights_mm[-1]))
    heights = checked_heights(section_heights_mm, low_mm=float(body.heights_mm[0]), high_mm=high)
    rings = body.rings_at(heights)
    mean = rings.mean(axis=0)
    way = arc_positions(mean)
    along, reach = _columns(mean)
    points = _on(rings, along, way=way)
    normals = _normals(body, heights, rings, along=along, reach=reach, way=way)
    room = _room(rings, points, normals, heights=heights, direction=direction)
    full = at_heights(points, heights)
    reached = full @ up[:3] + up[3] <= top_mm + 1e-9
    keep = reached & (room < _FAR_MM) & normals.any(axis=-1)
    level = np.broadcast_to(np.arange(len(heights))[:, None], keep.shape)
    under, under_mm = _under(points, normals, keep, heights=heights, direction=direction)
    middle = points.reshape(-1, 2).mean(axis=0)
    return Places(
        points_mm=frozen(full[keep]),
        normals=frozen(normals[keep]),
        along=frozen(np.broadcast_to(along, keep.shape)[keep]),
        levels=frozen_ints(level[keep]),
        heights_mm=frozen(heights),
        sizes_mm=frozen(np.ptp(rings, axis=1)),
        even_mm=frozen(body.even_mm(heights)),
        room_mm=frozen(room[keep]),
        under=under,
        under_mm=under_mm,
        round_mm=float(way[-1]),
        lever_mm=float(np.linalg.norm(points - middle, axis=-1).mean()),
        middle_mm=frozen(middle),
    )


def checked_heights(section_heights_mm: Sequence[float], *, low_mm: float, high_mm: float) -> Floats:
    """The levels' heights, rising, mm: both ends of the reach, the sections in it, and up to `BETWEEN` more in each gap."""
    sections = np.asarray(section_heights_mm, dtype=np.float64)
    inside = sections[(sections > low_mm) & (sections < high_mm)]
    ends = np.unique(np.concatenate([[low_mm], inside, [high_mm]]))
    parts = np.clip(np.diff(ends) / _NEAREST_MM, 1, BETWEEN + 1).astype(np.int64)
    return divided(ends, parts)


def _columns(ring: Floats) -> tuple[Floats, Floats]:
    """Where the places of a level lie, and over which chord their normals are taken, ``(p,)`` each, as shares of the way round.

    `AROUND` of them lie at equal distances; behind them come those at outer
    corners, whose normals are taken over longer chords. A place's chord runs
    as far to either side of it as the second value says.
    """
    fine = resample(ring, count=_FINE)
    before, after = fine - np.roll(fine, _REACH, axis=0), np.roll(fine, -_REACH, axis=0) - fine
    bend = np.degrees(turn_rad(before, after))
    most = np.max([np.roll(bend, k) for k in range(-_REACH, _REACH + 1)], axis=0)
    corners = np.flatnonzero((bend > _CORNER_DEG) & (bend >= most))
    corners = corners[np.append(True, np.diff(corners) > 1)] if len(corners) else corners
    wanted = (np.arange(AROUND) + 0.5) / AROUND
    along = np.concatenate([wanted, corners / _FINE])
    reach = np.repeat([0.5 / _FINE, _REACH / _FINE], [AROUND, len(corners)])
    return along, reach


def _normals(
    body: Body, heights: Floats, rings: Floats, *, along: Floats, reach: Floats, way: Floats
) -> Floats:
    """Unit vectors out of the skin, ``(l, p, 3)``; null where columns of the skin meet, as the places beside them stand for those.

    Parameters
    ----------
    heights, rings : (l,), (l, n, 2) float64
    along, reach : (p,) float64
        See `_columns`.
    way : (n + 1,) float64
        See `_on`.
    """
    low, high = body.heights_mm[[0, -1]]
    step = min(_STEP_MM, (high - low) / 10)
    upper, lower = np.minimum(heights + step, high), np.maximum(heights - step, low)
    climb = _on(body.rings_at(upper), along, way=way) - _on(body.rings_at(lower), along, way=way)
    rise = climb / (upper - lower)[:, None, None]
    chord = _on(rings, along + reach, way=way) - _on(rings, along - reach, way=way)
    normals = np.concatenate([-left_of(chord), cross(chord, rise)[..., None]], axis=-1)
    return unit(normals)


def _on(rings: Floats, along: Floats, *, way: Floats) -> Floats:
    """Points of the rings at shares of the mean ring's way, ``(l, p, 2)``."""
    wanted = np.mod(along, 1.0) * way[-1]
    column = np.clip(np.searchsorted(way, wanted, side="right") - 1, 0, rings.shape[1] - 1)
    share = (wanted - way[column]) / np.maximum(way[column + 1] - way[column], 1e-12)
    after = (column + 1) % rings.shape[1]
    return rings[:, column] * (1 - share)[:, None] + rings[:, after] * share[:, None]


def _room(rings: Floats, points: Floats, normals: Floats, *, heights: Floats, direction: Floats) -> Floats:
    """The room that the way out leaves each place beyond the clearance, square to the skin, ``(l, p)``, mm."""
    levels = made_sound(regions(rings))  # where runs of the skin meet in a step its columns may cross
    opened = Sweep.along(direction).opened(levels, heights_mm=heights)
    room = np.zeros(points.shape[:2])
    for k in np.flatnonzero(area_mm2(opened) - area_mm2(levels) > _NOTHING_MM2):
        room[k] = distances_to_boundary(points[k], opened[k]) * np.linalg.norm(normals[k, :, :2], axis=1)
    room[room < _NO_ROOM_MM] = 0.0
    return room


def _under(
    points: Floats, normals: Floats, keep: Bools, *, heights: Floats, direction: Floats
) -> tuple[Ints, Floats]:
    """`Places.under` and `Places.under_mm` of the places that are kept, ``(j,)`` each."""
    number = np.cumsum(keep).reshape(keep.shape) - 1
    level = normals[:, :, :2]
    ahead = direction[:2] / direction[2] * np.diff(heights)[:, None]
    apart = ((points[:-1] + ahead[:, None] - points[1:]) * level[1:]).sum(axis=-1)
    alike = (level[:-1] * level[1:]).sum(axis=-1) >= _ALIKE * (level[1:] ** 2).sum(axis=-1)
    carries = alike & keep[:-1]
    under, under_mm = number.copy(), np.zeros(keep.shape)
    under[1:] = np.where(carries, number[:-1], number[1:])
    under_mm[1:] = np.where(carries, apart, 0.0)
    return frozen_ints(under[keep]), frozen(under_mm[keep])
