"""Faces of the holder that openings go through, each with a frame of its own.

In a face's frame u runs along it, v up (for the floor: toward the viewer) and
w outward, away from the pocket. ``at`` in a project counts along x or y as
they are; the *flip* of a face brings that to u and v.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from cradle.errors import HolderError
from cradle.geometry.arrays import Floats, Ints
from cradle.geometry.planar import Region, common, offset, outer_rings, region, union, without
from cradle.geometry.region_measures import area_mm2, bounds, empty, inside
from cradle.geometry.ring import box_middle, centroid
from cradle.geometry.shapes import circle_around, rectangle
from cradle.geometry.solid import Solid, extruded, transformed
from cradle.holder.block import widened_plan
from cradle.noun import noun
from cradle.pocket.cavity import Cavity
from cradle.project.block import BlockSpec
from cradle.project.opening import Through

PAST_MM = 1.0
"""A cut goes on this far past what it cuts."""
_ARC_POINTS = 48
"""Of round holes."""
_SLIT_MM = 0.01
"""Half the width of the strip in which a reach is read off."""
_ACROSS = 15
"""So many strips across an opening tell where a cut through it has met the pocket, at so many heights of it:"""
_LEVELS = 5
_NO_WALL_MM2 = 0.5
"""What is smaller is no wall behind the pocket."""

_AXES: Mapping[Through, tuple[tuple[int, int, int], tuple[int, int, int], tuple[int, int, int]]] = {
    Through.FRONT: ((1, 0, 0), (0, 0, 1), (0, -1, 0)),
    Through.BACK: ((-1, 0, 0), (0, 0, 1), (0, 1, 0)),
    Through.LEFT: ((0, -1, 0), (0, 0, 1), (-1, 0, 0)),
    Through.RIGHT: ((0, 1, 0), (0, 0, 1), (1, 0, 0)),
    Through.FLOOR: ((1, 0, 0), (0, -1, 0), (0, 0, -1)),
}
"""Directions of u, v and w in the stand frame."""


@noun
class Face:
    """One face of a block, stand frame.

    Attributes
    ----------
    pocket : Cavity
        What lies behind the face: one thing's pocket, or those of the whole row.
    plan : Region
        The block's outline above the foot.
    x_offset_mm : float
        The x from which a project's places count: where the thing's own frame lies.
    off_middle_mm : (float, float)
        How far from the middle an opening lies whose place is not said, as a project counts.
    """

    through: Through
    pocket: Cavity
    plan: Region
    block: BlockSpec
    x_offset_mm: float = 0.0
    off_middle_mm: tuple[float, float] = (0.0, 0.0)

    @property
    def is_floor(self) -> bool:
        """Whether it is the floor."""
        return self.through is Through.FLOOR

    @property
    def foot_mm(self) -> float:
        """Height of the foot's underside, stand frame."""
        return self.pocket.bottom_mm - self.block.floor_mm

    @property
    def aside_along_mm(self) -> float:
        """How far along the face a project's places are counted from."""
        return self.x_offset_mm if self.along == 0 else 0.0

    @property
    def matrix(self) -> Floats:
        """The ``(4, 4)`` turn from u, v, w to the stand frame."""
        matrix = np.eye(4)
        matrix[:3, :3] = self._directions.T
        return matrix

    def local(self, at_mm: Floats) -> Floats:
        """``(..., 2)`` places of a project, in u and v."""
        return np.asarray(at_mm) * self._flip

    def wall_place(self, middle: Floats) -> Floats | None:
        """Where a place in u and v is in the wall behind, x and z; None on every face but the back."""
        if self.through is not Through.BACK:
            return None
        return (self.matrix[:3, :2] @ middle)[[0, 2]]

    def as_given(self, middle: Floats) -> Floats:
        """A place in u and v as a project counts it, for messages."""
        return self.local(middle) - [self.aside_along_mm, 0.0]

    def local_ring(self, ring: Floats) -> Floats:
        """A counter-clockwise ring drawn as a project counts, in u and v, counter-clockwise again."""
        flipped = self.local(ring)
        return flipped[::-1] if np.prod(self._flip) < 0 else flipped

    def outline_at(self, height_mm: float) -> Region:
        """The block's outline at a height, stand frame, chamfers left out."""
        tall = self.pocket.top_mm - self.foot_mm
        wider = self.block.wider_mm * (1 - (height_mm - self.foot_mm) / tall)
        return widened_plan(self.plan, wider)

    def solid(self, ring: Floats, *, low_mm: float, high_mm: float) -> Solid:
        """The prism over a ring in u and v, between two values of w, in the stand frame."""
        return transformed(extruded(ring, low_mm=low_mm, high_mm=high_mm), self.matrix)

    def cut(self, ring: Floats, *, middle: Floats) -> Solid:
        """The prism over a ring in u and v from within the pocket, which lies behind its middle, to past the outside.

        Raises
        ------
        HolderError
            If the pocket is not behind the ring.
        """
        return self.solid(ring, low_mm=self.pocket_start(ring, middle=middle), high_mm=self.past_mm)

    @property
    def past_mm(self) -> float:
        """A value of w outside the block."""
        if self.is_floor:
            return -self.foot_mm + PAST_MM
        return self.reach_mm(self.outline_at(self.foot_mm)) + PAST_MM

    def place(self, at_mm: tuple[float, float] | None) -> Floats:
        """Where an opening's middle lies, u and v: as given, or the pocket's middle, or beside that."""
        if at_mm is not None:
            return self.local(np.array(at_mm) + [self.aside_along_mm, 0.0])
        if self.is_floor:
            middle = _middle(outer_rings(self.pocket.level_at(self.pocket.bottom_mm)))
        else:
            height = (self.pocket.bottom_mm + self.pocket.top_mm) / 2
            middle = np.array([_box(self.pocket.level_at(height)).mean(axis=0)[self.along], height])
        return self.local(middle + self.off_middle_mm)

    @property
    def reach_along_mm(self) -> float:
        """How far along the face the pocket reaches, mm; under a floor, either way."""
        x, y = np.ptp(_box(self.pocket.plan()), axis=0).tolist()
        return float(max(x, y) if self.is_floor else (x, y)[self.along])

    def pocket_start(self, ring: Floats, *, middle: Floats) -> float:
        """The w, inside the pocket, at which a cut through this face may begin.

        Raises
        ------
        HolderError
            If the pocket is not behind the ring.
        """
        return self._floor_start(ring, middle) if self.is_floor else self._wall_start(ring, middle)

    def pocket_reach(self, middle: Floats, radius_mm: float) -> float | None:
        """The greatest w of the pocket within a radius of a place; None where there is no pocket."""
        if self.is_floor:
            met = ~empty(common(self.pocket.levels, region(disc(radius_mm) + self.local(middle))))
            if not met.any():
                return None
            return -float(self.pocket.heights_mm[int(np.argmax(met))])
        z = self.pocket.heights_mm
        near = np.abs(z - middle[1]) <= radius_mm
        near[int(np.argmin(np.abs(z - middle[1])))] = True
        return self._outermost(union(self.pocket.levels[near]), middle[0], radius_mm)

    def outside(self, middle: Floats, radius_mm: float) -> tuple[float, float] | None:
        """The least and the greatest w of the block's outside within a radius; None where the block ends."""
        if self.is_floor:
            foot = offset(self.outline_at(self.foot_mm), -self.block.chamfer_mm)
            there = area_mm2(without(region(disc(radius_mm) + self.local(middle)), foot)) < 1e-6
            return (-self.foot_mm, -self.foot_mm) if there else None
        found = []
        for v in (middle[1] - radius_mm, middle[1] + radius_mm):
            if not self.foot_mm <= v <= self.pocket.top_mm:
                return None
            level = self.outline_at(float(v))
            for u in (-radius_mm, 0.0, radius_mm):
                reach = self._outermost(level, middle[0] + u, _SLIT_MM)
                if reach is None:
                    return None
                found.append(reach)
        return min(found), max(found)

    @property
    def words(self) -> str:
        """Its name in a sentence, after “the”."""
        return "floor" if self.is_floor else f"{self.through} wall"

    @property
    def along(self) -> int:
        """The stand frame's axis along which u runs."""
        return int(np.abs(self._directions[0]).argmax())

    def reach_mm(self, level: Region) -> float:
        """The greatest w of a region, on a wall."""
        return float((_box(level) * self._directions[2, :2]).max(axis=0).sum())

    @property
    def _directions(self) -> Floats:
        """Of u, v and w in the stand frame, ``(3, 3)``."""
        return np.array(_AXES[self.through], dtype=np.float64)

    @property
    def _flip(self) -> Floats:
        """What brings a project's places to u and v: -1 where these run against the stand frame, ``(2,)``."""
        return np.asarray(self._directions[:2].sum(axis=1))

    def _outermost(self, level: Region, along_u: float, half_mm: float) -> float | None:
        """The greatest w of a region within a strip across the face; None when it is not there."""
        along = along_u * self._flip[0]
        a, b = along - half_mm, along + half_mm
        far = float(np.abs(bounds(level)).max()) + 1
        strip = rectangle((a, -far), (b, far))
        cut = common(level, region(strip if self.along == 0 else strip[:, ::-1]))
        if empty(cut):
            return None
        return self.reach_mm(cut)

    def _floor_start(self, ring: Floats, middle: Floats) -> float:
        around, at = self.local(ring) - self.local(middle), self.local(middle)
        under = self._levels_over(around + at)
        if not len(under):
            x, y = self.as_given(middle)
            above = inside(at[None], self.pocket.plan())[0]
            fits = len(self._levels_over(around + self.pocket.middle_mm()))
            hint = "move it towards the middle of the pocket" if fits else "make it smaller"
            raise HolderError(
                f"the opening at ({x:z.1f}, {y:z.1f}) mm "
                f"{'reaches past the pocket above it' if above else 'has no pocket above it'}",
                hint=hint + (" or make it smaller" if fits else ""),
            )
        return -min(float(self.pocket.heights_mm[under[0]]) + 1e-3, self.pocket.top_mm)

    def _levels_over(self, ring: Floats) -> Ints:
        """Which of the pocket's levels cover a ring seen from above."""
        return np.flatnonzero(area_mm2(without(region(ring), self.pocket.levels)) < 1e-6)

    def _wall_start(self, ring: Floats, middle: Floats) -> float:
        along, height = (float(v) for v in self.local(middle))
        level = self.pocket.level_at(height)
        point = _box(level).mean(axis=0)
        point[self.along] = along
        up = self.pocket.bottom_mm, self.pocket.top_mm
        within = up[0] <= height <= up[1]
        if not within or not inside(point[None], level)[0]:
            aside = self.aside_along_mm
            low, high = (_box(level)[:, self.along] - aside).tolist() if within else up
            raise HolderError(
                f"the opening at ({along - aside:.1f}, {height:.1f}) mm in the {self.words} does not meet the"
                f" pocket, which lies between {low:.1f} and {high:.1f} mm"
                f" {'along it at that height' if within else 'up'}",
                hint="move it to where the pocket is behind the wall",
            )
        start = float(self._directions[2, :2] @ point)
        near = max(start, self._nearest_behind(ring) - PAST_MM)
        return near if self._stands_between(ring, start, near) else start

    def _nearest_behind(self, ring: Floats) -> float:
        """The least w down to which a cut from outside must go to meet the pocket all across a ring; where no pocket lies behind, that is left out."""
        u0, u1 = ring[:, 0].min(), ring[:, 0].max()
        met = [
            reach
            for level in self._levels_behind(ring)
            for u in np.linspace(u0 + _SLIT_MM, u1 - _SLIT_MM, _ACROSS).tolist()
            if (reach := self._outermost(level, u, _SLIT_MM)) is not None
        ]
        return min(met, default=-np.inf)

    def _stands_between(self, ring: Floats, start: float, end: float) -> bool:
        """Whether anything of the block stands behind the pocket's first wall, such as what two horns of a thing reach round."""
        if end <= start:
            return False
        (u0, _), (u1, _) = ring.min(axis=0), ring.max(axis=0)
        corners = rectangle((u0, start), (u1, end))
        across, out = self._directions[0, :2], self._directions[2, :2]
        strip = region(corners[:, :1] * across + corners[:, 1:] * out)
        return any(area_mm2(without(strip, level)) > _NO_WALL_MM2 for level in self._levels_behind(ring))

    def _levels_behind(self, ring: Floats) -> list[Region]:
        """The pocket at a few heights of a ring."""
        low = max(float(ring[:, 1].min()), self.pocket.bottom_mm)
        high = min(float(ring[:, 1].max()), self.pocket.top_mm)
        return [self.pocket.level_at(z) for z in np.linspace(low, high, _LEVELS).tolist()]


def _box(level: Region) -> Floats:
    """Least and greatest x and y of a region, ``(2, 2)``."""
    return bounds(level).reshape(2, 2)


def _middle(rings: Sequence[Floats]) -> Floats:
    """The centroid of a single ring, the middle of the box around several."""
    if len(rings) == 1:
        return centroid(rings[0])
    return box_middle(np.concatenate(rings))


def disc(radius_mm: float) -> Floats:
    """A polygon around a circle about the origin, never smaller than it, ``(n, 2)``."""
    return circle_around(radius_mm, points=_ARC_POINTS)
