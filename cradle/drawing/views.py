"""The holder as drawn: a plan and two cuts, with dimensions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from string import ascii_uppercase
from typing import Final

import numpy as np

from cradle.drawing.sheet import Axis, Dimension, Line, Note, Stroke, View
from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.mesh import bounds_mm
from cradle.geometry.planar import Region, boundary_rings, bounds, holes, outer_rings
from cradle.geometry.ring import thinned
from cradle.geometry.solid import cut_regions, transformed
from cradle.holder.holder import Holder
from cradle.holder.wall_plate import WallPlate
from cradle.pocket.pocket import Pocket
from cradle.result.seated_thing import SeatedThing

_STEP_MM: Final = 8.0
"""Distance of dimension lines from the outline and from each other."""
_MOST_HEIGHTS: Final = 7
"""More would make a drawing that nobody can read."""
_LETTER_MM: Final = 3.0
_LETTER_STEP_MM: Final = 3.5
_SKIN_MM: Final = 0.01
_DRAWN_MM: Final = 0.002
"""A point nearer than this to the line through its neighbours is not drawn: no pen is so fine."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Facing:
    """The side that a cut is seen from.

    Attributes
    ----------
    side : str
    across : int
        Which axis of the print frame runs across the view.
    word : str
        What a size across the view is called.
    view_from_print : (4, 4) float64
        To across, up, and towards the viewer.
    """

    side: str
    across: int
    word: str
    view_from_print: Floats

    def extent(self, area: Region) -> tuple[float, float]:
        """The least and the greatest place across the view, mm."""
        low, high = bounds(area)[[self.across, self.across + 2]].tolist()
        return low, high

    def depth(self, point: tuple[float, float]) -> float:
        """How far towards the viewer a point seen from above lies, mm."""
        return -point[1] if self.across == 0 else point[0]


_FRONT: Final = Facing(
    side="front",
    across=0,
    word="width",
    view_from_print=frozen([[1, 0, 0, 0], [0, 0, 1, 0], [0, -1, 0, 0], [0, 0, 0, 1]]),
)
_RIGHT: Final = Facing(
    side="right",
    across=1,
    word="depth",
    view_from_print=frozen([[0, 1, 0, 0], [0, 0, 1, 0], [1, 0, 0, 0], [0, 0, 0, 1]]),
)


def holder_views(holder: Holder, things: Sequence[SeatedThing]) -> tuple[View, ...]:
    """The plan, and for each of the things, at most 13, a cut from the front and one from the right through its first pocket."""
    letters = [(ascii_uppercase[2 * k], ascii_uppercase[2 * k + 1]) for k in range(len(things))]
    cuts = [
        _cut(holder, thing, letter=letter, facing=facing)
        for thing, pair in zip(things, letters, strict=True)
        for letter, facing in zip(pair, (_FRONT, _RIGHT), strict=True)
    ]
    return _plan(holder, things, letters=letters), *cuts


def _middle_mm(pocket: Pocket) -> tuple[float, float]:
    """The middle of a pocket's box seen from above."""
    x0, y0, x1, y1 = bounds(pocket.plan()).tolist()
    return (x0 + x1) / 2, (y0 + y1) / 2


def _measured_heights(thing: SeatedThing, holder: Holder) -> list[tuple[str, float]]:
    """Names and print-frame heights of the sections at which a thing's first pocket is measured, mm."""
    floor = thing.pocket.bottom_mm + holder.lift_mm
    heights = thing.heights_mm(thing.places(holder)[0])
    return _spread([(n, z) for n, z in heights if floor < z < holder.height_mm - _SKIN_MM])


def _name(name: str, thing: SeatedThing) -> str:
    """The name of one of a thing's dimensions."""
    return f"{name}, {thing.words}" if thing.words else name


def _spread(heights: Sequence[tuple[str, float]]) -> list[tuple[str, float]]:
    """At most `_MOST_HEIGHTS` of the heights, the first and the last among them."""
    last = len(heights) - 1
    if last < _MOST_HEIGHTS:
        return list(heights)
    return [heights[round(k * last / (_MOST_HEIGHTS - 1))] for k in range(_MOST_HEIGHTS)]


def _plan(holder: Holder, things: Sequence[SeatedThing], *, letters: Sequence[tuple[str, str]]) -> View:
    top, low = cut_regions(holder.solid, np.array([holder.height_mm - _SKIN_MM, _SKIN_MM]))
    (x0, y0, _), (x1, y1, _) = bounds_mm(holder.mesh).tolist()
    lines = [_ring(ring, Stroke.EDGE) for ring in outer_rings(holder.foot)]
    if holder.foot is not holder.plan:
        lines += [_ring(ring, Stroke.EDGE) for ring in outer_rings(holder.plan)]
    lines += [_ring(ring, Stroke.EDGE) for ring in (*boundary_rings(top), *holes(low))]
    if holder.plate is not None:
        lines += _wings_from_above(holder.plate, holder.plan)
    marks: list[tuple[str, tuple[float, float]]] = []
    past = _STEP_MM / 2
    middles = [_middle_mm(thing.pocket) for thing in things]
    for k, (thing, (across, along)) in enumerate(zip(things, letters, strict=True)):
        for _, z in _measured_heights(thing, holder):
            for pocket in thing.pockets:
                level = pocket.level_at(z - holder.lift_mm)
                lines += [_ring(ring, Stroke.WIDEST) for ring in outer_rings(level)]
        cx, cy = middles[k]
        out = _LETTER_STEP_MM * sum(
            abs(cy - y) < _LETTER_MM for _, y in middles[:k]
        )  # past letters of near lines
        up = _LETTER_STEP_MM * sum(abs(cx - x) < _LETTER_MM for x, _ in middles[:k])
        lines += [
            _polyline([(x0 - past, cy), (x1 + past, cy)], Stroke.CENTRE),
            _polyline([(cx, y0 - past), (cx, y1 + past)], Stroke.CENTRE),
        ]
        marks += [(across, (x0 - past - 4 - out, cy - 1.5)), (across, (x1 + past + 1 + out, cy - 1.5))]
        marks += [(along, (cx - 1, y0 - past - 4 - up)), (along, (cx - 1, y1 + past + 1 + up))]
    at = (y0 - 2 * _STEP_MM, x0 - 2 * _STEP_MM)
    return View(
        title="plan, from above",
        lines=tuple(lines),
        dimensions=(
            Dimension(
                name="outside width", axis=Axis.ACROSS, start_mm=(x0, y0), end_mm=(x1, y0), at_mm=at[0]
            ),
            Dimension(name="outside depth", axis=Axis.UP, start_mm=(x0, y0), end_mm=(x0, y1), at_mm=at[1]),
        ),
        notes=(
            *(Note(text=text, at_mm=place, height_mm=_LETTER_MM) for text, place in marks),
            Note(text="plan, from above", at_mm=(x0, at[0] - 0.8 * _STEP_MM), height_mm=3.5),
        ),
    )


def _cut(holder: Holder, thing: SeatedThing, *, letter: str, facing: Facing) -> View:
    """The cut through the middle of a thing's first pocket."""
    at = facing.depth(_middle_mm(thing.pocket))
    material = boundary_rings(
        cut_regions(transformed(holder.solid, facing.view_from_print), np.array([at]))[0]
    )
    inside = _measured_heights(thing, holder)
    left, right = facing.extent(holder.foot)
    lines = [_ring(ring, Stroke.CUT) for ring in material] + _edges_in_view(holder, thing, facing=facing)
    dimensions = _pocket_dimensions(holder, thing, inside=inside, facing=facing)
    plate = holder.plate if facing is _FRONT else None
    if plate is not None:
        wide = plate.outlines_mm[0][:, 0]
        left, right = min(left, float(wide.min())), max(right, float(wide.max()))
    dimensions += _heights(holder, thing, inside=inside, facing=facing, beside_mm=(left, right))
    if plate is not None:
        far = right + _STEP_MM * len(inside)
        lines += _plate_lines(plate, holder.lift_mm)
        dimensions += _plate_dimensions(plate, lift_mm=holder.lift_mm, right_mm=far)
    title = f"cut {letter}–{letter}, from the {facing.side}"
    return View(
        title=title,
        lines=tuple(lines),
        material=tuple(material),
        dimensions=tuple(dimensions),
        notes=(Note(text=title, at_mm=(facing.extent(holder.foot)[0], -2 * _STEP_MM), height_mm=3.5),),
    )


def _edges_in_view(holder: Holder, thing: SeatedThing, *, facing: Facing) -> list[Line]:
    """The largest extents of the pockets in view, and the rim."""
    lines = []
    for pocket in thing.pockets if facing is _FRONT else thing.pockets[:1]:
        levels, up = bounds(pocket.levels), pocket.heights_mm + holder.lift_mm
        lines += [
            _polyline(np.column_stack([levels[:, k], up]), Stroke.WIDEST)
            for k in (facing.across, facing.across + 2)
        ]
    low, high = facing.extent(holder.plan)
    lines.append(_polyline([(low, holder.height_mm), (high, holder.height_mm)], Stroke.EDGE))
    return lines


def _pocket_dimensions(
    holder: Holder, thing: SeatedThing, *, inside: Sequence[tuple[str, float]], facing: Facing
) -> list[Dimension]:
    """The pocket's size across the view at each measured height."""
    cuts = cut_regions(thing.pocket.solid, np.array([z - holder.lift_mm for _, z in inside]))
    return [
        Dimension(
            name=_name(f"pocket {facing.word} at {name}", thing),
            axis=Axis.ACROSS,
            start_mm=(low, z),
            end_mm=(high, z),
            at_mm=z,
        )
        for (name, z), (low, high) in zip(inside, map(facing.extent, cuts), strict=True)
    ]


def _heights(
    holder: Holder,
    thing: SeatedThing,
    *,
    inside: Sequence[tuple[str, float]],
    facing: Facing,
    beside_mm: tuple[float, float],
) -> list[Dimension]:
    """Floor, depth and overall height to the left of what is drawn, the measured heights to its right."""
    low, high = facing.extent(holder.foot)
    floor, top = thing.pocket.bottom_mm + holder.lift_mm, holder.height_mm
    x = beside_mm[0] - _STEP_MM
    upright = [
        (_name("floor", thing), low, 0.0, floor, x),
        (_name("pocket depth below the rim", thing), low, floor, top, x),
        ("outside height", low, 0.0, top, x - _STEP_MM),
        *(
            (f"height of {name}", high, 0.0, z, beside_mm[1] + _STEP_MM * k)
            for k, (name, z) in enumerate(inside, start=1)
        ),
    ]
    return [
        Dimension(name=name, axis=Axis.UP, start_mm=(edge, start), end_mm=(edge, end), at_mm=at)
        for name, edge, start, end, at in upright
    ]


def _wings_from_above(plate: WallPlate, plan: Region) -> list[Line]:
    """What of the wall plate stands out beside the block, at its widest."""
    x0, _, x1, _ = bounds(plan).tolist()
    y0, y1 = plate.front_mm, plate.back_mm
    low, high = float(plate.outlines_mm[0][:, 0].min()), float(plate.outlines_mm[0][:, 0].max())
    return [
        _polyline([(inner, y0), (outer, y0), (outer, y1), (inner, y1)], Stroke.EDGE)
        for inner, outer in ((x0, low), (x1, high))
        if (outer < x0) or (outer > x1)
    ]


def _plate_lines(plate: WallPlate, lift_mm: float) -> list[Line]:
    """The wall plate and its holes behind the cut from the front."""
    return [_ring(ring + [0.0, lift_mm], Stroke.EDGE) for ring in plate.outlines_mm]


def _plate_dimensions(plate: WallPlate, *, lift_mm: float, right_mm: float) -> list[Dimension]:
    """Height of the plate, and how far its screws are apart, across and up."""
    z0, (x1, z1) = plate.outlines_mm[0][:, 1].min(), plate.outlines_mm[0].max(axis=0)
    right = max(right_mm, float(x1)) + _STEP_MM
    low, high = (z0 + lift_mm, z1 + lift_mm)
    found = [
        Dimension(
            name="plate height",
            axis=Axis.UP,
            start_mm=(float(x1), low),
            end_mm=(float(x1), high),
            at_mm=right,
        )
    ]
    (p0, q0), (p1, q1) = plate.places_mm.min(axis=0), plate.places_mm.max(axis=0)
    if p1 - p0 > _SKIN_MM:
        found.append(
            Dimension(
                name="plate hole spacing, across",
                axis=Axis.ACROSS,
                start_mm=(float(p0), q1 + lift_mm),
                end_mm=(float(p1), q1 + lift_mm),
                at_mm=high + _STEP_MM,
            )
        )
    if q1 - q0 > _SKIN_MM:
        found.append(
            Dimension(
                name="plate hole spacing, up",
                axis=Axis.UP,
                start_mm=(float(p1), q0 + lift_mm),
                end_mm=(float(p1), q1 + lift_mm),
                at_mm=right + _STEP_MM,
            )
        )
    return found


def _ring(points: Floats, stroke: Stroke) -> Line:
    return Line(points_mm=frozen(thinned(points, within_mm=_DRAWN_MM)), stroke=stroke, closed=True)


def _polyline(points: Floats | Sequence[tuple[float, float]], stroke: Stroke) -> Line:
    return Line(points_mm=frozen(points), stroke=stroke, closed=False)
