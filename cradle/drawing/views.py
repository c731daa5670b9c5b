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

_STEP_MM: Final = 8.0
"""Distance of dimension lines from the outline and from each other."""
_MOST_HEIGHTS: Final = 7
"""More would make a drawing that nobody can read."""
_LETTER_MM: Final = 3.0
_LETTER_STEP_MM: Final = 3.5
_SKIN_MM: Final = 0.01
_DRAWN_MM: Final = 0.002
"""A point nearer than this to the line through its neighbours is not drawn: no pen is so fine."""
# print frame -> (across, up, towards the viewer)
_FROM_FRONT: Final = np.array([[1, 0, 0, 0], [0, 0, 1, 0], [0, -1, 0, 0], [0, 0, 0, 1]], dtype=np.float64)
_FROM_RIGHT: Final = np.array([[0, 1, 0, 0], [0, 0, 1, 0], [1, 0, 0, 0], [0, 0, 0, 1]], dtype=np.float64)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class DrawnPocket:
    """A pocket to be cut through, and those like it in a row.

    Attributes
    ----------
    pockets : tuple of Pocket
        From left to right; the first one is cut and measured.
    heights_mm : tuple of (str, float)
        Names and print-frame heights at which it is measured; others than those
        inside the pocket are left out.
    words : str
        End the names of its dimensions, where there are different pockets.
    """

    pockets: tuple[Pocket, ...]
    heights_mm: tuple[tuple[str, float], ...]
    words: str = ""

    @property
    def pocket(self) -> Pocket:
        """The one that is cut."""
        return self.pockets[0]

    def middle_mm(self) -> tuple[float, float]:
        """The middle of its box seen from above."""
        x0, y0, x1, y1 = bounds(self.pocket.plan()).tolist()
        return (x0 + x1) / 2, (y0 + y1) / 2

    def inside_mm(self, holder: Holder) -> list[tuple[str, float]]:
        """Those of the heights that are drawn."""
        floor = self.pocket.bottom_mm + holder.lift_mm
        return _spread([(n, z) for n, z in self.heights_mm if floor < z < holder.height_mm - _SKIN_MM])

    def named(self, name: str) -> str:
        """The name of one of its dimensions."""
        return f"{name}, {self.words}" if self.words else name


def holder_views(holder: Holder, drawn: Sequence[DrawnPocket]) -> tuple[View, ...]:
    """The plan, and for each pocket a cut from the front and one from the right, each in its own frame.

    Parameters
    ----------
    holder : Holder
    drawn : sequence of DrawnPocket
        The different pockets, at most 13.
    """
    letters = [(ascii_uppercase[2 * k], ascii_uppercase[2 * k + 1]) for k in range(len(drawn))]
    cuts = [
        _cut(holder, one, letter=letter, front=front)
        for one, pair in zip(drawn, letters, strict=True)
        for letter, front in zip(pair, (_FROM_FRONT, _FROM_RIGHT), strict=True)
    ]
    return _plan(holder, drawn, letters=letters), *cuts


def _spread(heights: Sequence[tuple[str, float]]) -> list[tuple[str, float]]:
    """At most `_MOST_HEIGHTS` of the heights, the first and the last among them."""
    last = len(heights) - 1
    if last < _MOST_HEIGHTS:
        return list(heights)
    return [heights[round(k * last / (_MOST_HEIGHTS - 1))] for k in range(_MOST_HEIGHTS)]


def _plan(holder: Holder, drawn: Sequence[DrawnPocket], *, letters: Sequence[tuple[str, str]]) -> View:
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
    middles = [one.middle_mm() for one in drawn]
    for k, (one, (across, along)) in enumerate(zip(drawn, letters, strict=True)):
        for _, z in one.inside_mm(holder):
            for pocket in one.pockets:
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


def _cut(holder: Holder, one: DrawnPocket, *, letter: str, front: Floats) -> View:
    """The cut through a pocket's middle, across ``front``'s third axis."""
    from_front = front is _FROM_FRONT
    low, high = (0, 2) if from_front else (1, 3)
    inside = one.inside_mm(holder)
    boxes = [
        (float(box[low]), float(box[high]))
        for box in bounds(cut_regions(one.pocket.solid, np.array([z - holder.lift_mm for _, z in inside])))
    ]
    middle = one.middle_mm()
    at = -middle[1] if from_front else middle[0]
    material: Region = cut_regions(transformed(holder.solid, front), np.array([at]))[0]
    rings = boundary_rings(material)
    floor_mm = one.pocket.bottom_mm + holder.lift_mm
    foot = bounds(holder.foot)
    a0, a1, top = float(foot[low]), float(foot[high]), holder.height_mm
    plan = bounds(holder.plan)
    lines = [_ring(ring, Stroke.CUT) for ring in rings]
    for pocket in one.pockets if from_front else one.pockets[:1]:
        levels, up = bounds(pocket.levels), pocket.heights_mm + holder.lift_mm
        lines += [_polyline(np.column_stack([levels[:, k], up]), Stroke.WIDEST) for k in (low, high)]
    lines.append(_polyline([(float(plan[low]), top), (float(plan[high]), top)], Stroke.EDGE))
    word = "width" if from_front else "depth"
    dims = [
        Dimension(
            name=one.named(f"pocket {word} at {name}"),
            axis=Axis.ACROSS,
            start_mm=(p, z),
            end_mm=(q, z),
            at_mm=z,
        )
        for (name, z), (p, q) in zip(inside, boxes, strict=True)
    ]
    left, right = a0, a1
    if holder.plate is not None and from_front:
        wide = holder.plate.outlines_mm[0][:, 0]
        left, right = min(left, float(wide.min())), max(right, float(wide.max()))
    x = left - _STEP_MM
    dims.append(
        Dimension(name=one.named("floor"), axis=Axis.UP, start_mm=(a0, 0.0), end_mm=(a0, floor_mm), at_mm=x)
    )
    dims.append(
        Dimension(
            name=one.named("pocket depth below the rim"),
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
    if holder.plate is not None and from_front:
        far = right + _STEP_MM * len(inside)
        lines += _plate_lines(holder.plate, holder.lift_mm)
        dims += _plate_dimensions(holder.plate, lift_mm=holder.lift_mm, right_mm=far)
    title = f"cut {letter}–{letter}, from the {'front' if from_front else 'right'}"
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
