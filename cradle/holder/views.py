"""The holder as drawn: a plan and two cuts, with dimensions."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.mesh import bounds_mm
from cradle.geometry.planar import Region, boundary_rings, bounds, holes, outer_rings
from cradle.geometry.ring import thinned
from cradle.geometry.solid import cut_regions, transformed
from cradle.holder.holder import Holder
from cradle.holder.sheet import Axis, Dimension, Line, Note, Stroke, View
from cradle.holder.wall_plate import WallPlate
from cradle.pocket.pocket import Pocket

_STEP_MM: Final = 8.0
"""Distance of dimension lines from the outline and from each other."""
_MOST_HEIGHTS: Final = 7
"""More would make a drawing that nobody can read."""
_SKIN_MM: Final = 0.01
_DRAWN_MM: Final = 0.002
"""A point nearer than this to the line through its neighbours is not drawn: no pen is so fine."""
# print frame -> (across, up, towards the viewer)
_FROM_FRONT: Final = np.array([[1, 0, 0, 0], [0, 0, 1, 0], [0, -1, 0, 0], [0, 0, 0, 1]], dtype=np.float64)
_FROM_RIGHT: Final = np.array([[0, 1, 0, 0], [0, 0, 1, 0], [1, 0, 0, 0], [0, 0, 0, 1]], dtype=np.float64)


def holder_views(
    holder: Holder, pocket: Pocket, *, heights_mm: Sequence[tuple[str, float]], floor_mm: float
) -> tuple[View, View, View]:
    """Plan, cut from the front and cut from the right, each in its own frame.

    Parameters
    ----------
    holder : Holder
    pocket : Pocket
    heights_mm : sequence of (str, float)
        Names and print-frame heights at which the pocket is measured; others than
        those inside the pocket are left out.
    floor_mm : float
        Thickness of the floor.
    """
    inside = _spread([(name, z) for name, z in heights_mm if floor_mm < z < holder.height_mm - _SKIN_MM])
    boxes = [
        bounds(cut).tolist()
        for cut in cut_regions(pocket.solid, np.array([z - holder.lift_mm for _, z in inside]))
    ]
    x0, y0, x1, y1 = bounds(pocket.plan()).tolist()
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    return (
        _plan(holder, pocket, middle=middle, inside=inside),
        _cut(
            holder,
            pocket,
            at=-middle[1],
            inside=inside,
            boxes=[(b[0], b[2]) for b in boxes],
            floor_mm=floor_mm,
            front=_FROM_FRONT,
        ),
        _cut(
            holder,
            pocket,
            at=middle[0],
            inside=inside,
            boxes=[(b[1], b[3]) for b in boxes],
            floor_mm=floor_mm,
            front=_FROM_RIGHT,
        ),
    )


def _spread(heights: Sequence[tuple[str, float]]) -> list[tuple[str, float]]:
    """At most `_MOST_HEIGHTS` of the heights, the first and the last among them."""
    last = len(heights) - 1
    if last < _MOST_HEIGHTS:
        return list(heights)
    return [heights[round(k * last / (_MOST_HEIGHTS - 1))] for k in range(_MOST_HEIGHTS)]


def _plan(
    holder: Holder, pocket: Pocket, *, middle: tuple[float, float], inside: Sequence[tuple[str, float]]
) -> View:
    top, low = cut_regions(holder.solid, np.array([holder.height_mm - _SKIN_MM, _SKIN_MM]))
    (x0, y0, _), (x1, y1, _) = bounds_mm(holder.mesh).tolist()
    lines = [_ring(ring, Stroke.EDGE) for ring in outer_rings(holder.foot)]
    if holder.foot is not holder.plan:
        lines += [_ring(ring, Stroke.EDGE) for ring in outer_rings(holder.plan)]
    lines += [_ring(ring, Stroke.EDGE) for ring in (*boundary_rings(top), *holes(low))]
    if holder.plate is not None:
        lines += _wings_from_above(holder.plate, holder.plan)
    for _, z in inside:
        lines += [_ring(ring, Stroke.WIDEST) for ring in outer_rings(pocket.level_at(z - holder.lift_mm))]
    past = _STEP_MM / 2
    cx, cy = middle
    lines += [
        _polyline([(x0 - past, cy), (x1 + past, cy)], Stroke.CENTRE),
        _polyline([(cx, y0 - past), (cx, y1 + past)], Stroke.CENTRE),
    ]
    letters = [("A", (x0 - past - 4, cy - 1.5)), ("A", (x1 + past + 1, cy - 1.5))]
    letters += [("B", (cx - 1, y0 - past - 4)), ("B", (cx - 1, y1 + past + 1))]
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
            *(Note(text=text, at_mm=place, height_mm=3.0) for text, place in letters),
            Note(text="plan, from above", at_mm=(x0, at[0] - 0.8 * _STEP_MM), height_mm=3.5),
        ),
    )


def _cut(
    holder: Holder,
    pocket: Pocket,
    *,
    at: float,
    inside: Sequence[tuple[str, float]],
    boxes: Sequence[tuple[float, float]],
    floor_mm: float,
    front: Floats,
) -> View:
    """The cut across ``front``'s third axis at ``at``; ``boxes`` are the pocket's extents at the heights inside."""
    material: Region = cut_regions(transformed(holder.solid, front), np.array([at]))[0]
    rings = boundary_rings(material)
    low, high = (0, 2) if front is _FROM_FRONT else (1, 3)
    levels = bounds(pocket.levels)
    up = pocket.heights_mm + holder.lift_mm
    foot = bounds(holder.foot)
    a0, a1, top = float(foot[low]), float(foot[high]), holder.height_mm
    plan = bounds(holder.plan)
    lines = [_ring(ring, Stroke.CUT) for ring in rings]
    lines += [
        _polyline(np.column_stack([levels[:, low], up]), Stroke.WIDEST),
        _polyline(np.column_stack([levels[:, high], up]), Stroke.WIDEST),
        _polyline([(float(plan[low]), top), (float(plan[high]), top)], Stroke.EDGE),
    ]
    word = "width" if front is _FROM_FRONT else "depth"
    dims = [
        Dimension(name=f"pocket {word} at {name}", axis=Axis.ACROSS, start_mm=(p, z), end_mm=(q, z), at_mm=z)
        for (name, z), (p, q) in zip(inside, boxes, strict=True)
    ]
    left, right = a0, a1
    if holder.plate is not None and front is _FROM_FRONT:
        wide = holder.plate.outlines_mm[0][:, 0]
        left, right = min(left, float(wide.min())), max(right, float(wide.max()))
    x = left - _STEP_MM
    dims.append(Dimension(name="floor", axis=Axis.UP, start_mm=(a0, 0.0), end_mm=(a0, floor_mm), at_mm=x))
    dims.append(
        Dimension(
            name="pocket depth below the rim",
            axis=Axis.UP,
            start_mm=(a0, floor_mm),
            end_mm=(a0, top),
            at_mm=x,
        )
    )
    dims.append(
        Dimension(
            name="outside height", axis=Axis.UP, start_mm=(a0, 0.0), end_mm=(a0, top), at_mm=x - _STEP_MM
        )
    )
    for k, (name, z) in enumerate(inside):
        dims.append(
            Dimension(
                name=f"height of {name}",
                axis=Axis.UP,
                start_mm=(a1, 0.0),
                end_mm=(a1, z),
                at_mm=right + _STEP_MM * (k + 1),
            )
        )
    if holder.plate is not None and front is _FROM_FRONT:
        far = right + _STEP_MM * len(inside)
        lines += _plate_lines(holder.plate, holder.lift_mm)
        dims += _plate_dimensions(holder.plate, lift_mm=holder.lift_mm, right_mm=far)
    title = "cut A–A, from the front" if front is _FROM_FRONT else "cut B–B, from the right"
    return View(
        title=title,
        lines=tuple(lines),
        material=tuple(rings),
        dimensions=tuple(dims),
        notes=(Note(text=title, at_mm=(a0, -2 * _STEP_MM), height_mm=3.5),),
    )


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
                name="between holes, across",
                axis=Axis.ACROSS,
                start_mm=(float(p0), q1 + lift_mm),
                end_mm=(float(p1), q1 + lift_mm),
                at_mm=high + _STEP_MM,
            )
        )
    if q1 - q0 > _SKIN_MM:
        found.append(
            Dimension(
                name="between holes, up",
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
