"""The holder as drawn: a plan and two cuts, with dimensions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from string import ascii_uppercase
from typing import Final

import numpy as np

from cradle.drawing.plate_views import (
    SKIN_MM,
    plate_dimensions,
    plate_from_above,
    plate_from_the_front,
    plate_holes,
    screw_heights,
)
from cradle.drawing.view import (
    Axis,
    Callout,
    Cut,
    CuttingPlane,
    Dimension,
    Height,
    Line,
    Placement,
    SeenFrom,
    Stroke,
    View,
    across,
    open_line,
    ring_line,
    spread_evenly,
    upright,
)
from cradle.geometry.arrays import Floats
from cradle.geometry.mesh import bounds_mm
from cradle.geometry.planar import Region, boundary_rings, common, holes, outer_rings, region
from cradle.geometry.region_measures import bounds
from cradle.geometry.shapes import rectangle
from cradle.geometry.solid import Solid, box_mm, cut_regions, transformed
from cradle.holder.holder import Holder
from cradle.noun import noun
from cradle.project.opening import Through
from cradle.result.seated_thing import SeatedThing

_MOST_HEIGHTS: Final = 7
"""More would make a drawing that nobody can read."""
_SHORT_NAME: Final = 20
"""Heights on a cut name their things only if these are two, of names of at most so many letters: more words would leave the view little room."""
_SAME_PLANE_MM: Final = 2.0
"""Pockets whose middles lie so close in depth are cut through together."""


@noun
class _Facing:
    """The side that a cut is seen from.

    Attributes
    ----------
    across : int
        Which axis of the print frame runs across the view.
    word : str
        What a size across the view is called.
    """

    side: SeenFrom
    across: int
    word: str

    def extent(self, area: Region) -> tuple[float, float]:
        """The least and the greatest place across the view, mm."""
        low, high = bounds(area)[[self.across, self.across + 2]].tolist()
        return low, high

    def depth(self, point: tuple[float, float]) -> float:
        """How far towards the viewer a point seen from above lies, mm."""
        return -point[1] if self.across == 0 else point[0]


_FRONT: Final = _Facing(side=SeenFrom.FRONT, across=0, word="width")
_RIGHT: Final = _Facing(side=SeenFrom.RIGHT, across=1, word="depth")


def holder_views(holder: Holder, things: Sequence[SeatedThing]) -> tuple[View, ...]:
    """The plan; cuts from the front, one through each depth at which pockets have their middles; one from the right for each thing."""
    shared = _sharing_a_plane(things)
    letters = iter(ascii_uppercase)
    cuts: list[View] = []
    planes: list[CuttingPlane] = []
    for group in shared:
        letter, y = next(letters), group[0].pocket.middle_mm()[1]
        cuts.append(_cut(holder, group, letter=letter, facing=_FRONT))
        planes.append(CuttingPlane(letter=letter, axis=Axis.ACROSS, at_mm=y, looking=1.0))
    for thing in things:
        letter, x = next(letters), thing.pocket.middle_mm()[0]
        cuts.append(_cut(holder, [thing], letter=letter, facing=_RIGHT))
        planes.append(CuttingPlane(letter=letter, axis=Axis.UP, at_mm=x, looking=-1.0))
    return _plan(holder, things, planes=planes), *cuts


def cuts_of(views: Sequence[View], things: Sequence[SeatedThing], number: int) -> tuple[View, View]:
    """The cuts from the front and from the right through the first pocket of one of the things."""
    shared = _sharing_a_plane(things)
    group = next(k for k, group in enumerate(shared) if any(thing is things[number] for thing in group))
    return views[1 + group], views[1 + len(shared) + number]


def cut_through(body: Solid, cut: Cut) -> Region:
    """What the plane of a cut shows of a solid in the print frame: across, up, mm; empty where it passes beside it."""
    return cut_regions(transformed(body, cut.seen_from.view_from_print), np.array([cut.at_mm]))[0]


def _sharing_a_plane(things: Sequence[SeatedThing]) -> list[list[SeatedThing]]:
    """The things in groups whose first pockets' middles lie at about the same depth."""
    groups: list[list[SeatedThing]] = []
    for thing in things:
        y = thing.pocket.middle_mm()[1]
        near = (g for g in groups if abs(g[0].pocket.middle_mm()[1] - y) < _SAME_PLANE_MM)
        group = next(near, None)
        if group is None:
            groups.append([thing])
        else:
            group.append(thing)
    return groups


def _measured_heights(thing: SeatedThing, holder: Holder) -> list[tuple[str, float]]:
    """Names and print-frame heights of the sections at which a thing's first pocket is measured, mm."""
    floor = thing.pocket.bottom_mm + holder.lift_mm
    heights = thing.heights_mm(thing.places(holder)[0])
    seen = [(n, z) for n, z in heights if floor < z < holder.height_mm - SKIN_MM]
    return [seen[k] for k in spread_evenly(len(seen), most=_MOST_HEIGHTS)]


def _plan(holder: Holder, things: Sequence[SeatedThing], *, planes: Sequence[CuttingPlane]) -> View:
    top, low = cut_regions(holder.solid, np.array([holder.height_mm - SKIN_MM, SKIN_MM]))
    (x0, y0, _), (_, y1, _) = bounds_mm(holder.mesh).tolist()
    lines = [ring_line(ring, Stroke.EDGE) for ring in outer_rings(holder.foot)]
    if holder.foot is not holder.plan:
        lines += [ring_line(ring, Stroke.EDGE) for ring in outer_rings(holder.plan)]
    lines += [ring_line(ring, Stroke.EDGE) for ring in (*boundary_rings(top), *holes(low))]
    if holder.plate is not None:
        lines += plate_from_above(holder.plate, holder.plan)
    for thing in things:
        for _, z in _measured_heights(thing, holder):
            for pocket in thing.pockets:
                level = pocket.level_at(z - holder.lift_mm)
                lines += [ring_line(ring, Stroke.WIDEST) for ring in outer_rings(level)]
    return View(
        lines=tuple(lines),
        dimensions=(*_widths(holder), upright("outside depth", y0, y1, at_mm=x0)),
        planes=tuple(planes),
        callouts=tuple(_floor_holes(holder)),
    )


def _widths(holder: Holder) -> list[Dimension]:
    """The width over all, and next to the view the block's own where the plate is wider."""
    (x0, y0, _), (x1, _, _) = bounds_mm(holder.mesh).tolist()
    a, b = _FRONT.extent(holder.foot)
    widths = [("outside width", x0, x1)]
    if (x1 - x0) - (b - a) > SKIN_MM:
        widths.insert(0, ("block width", a, b))
    return [
        across(name, low, high, at_mm=y0, placement=Placement.BELOW, tier=tier)
        for tier, (name, low, high) in enumerate(widths, start=1)
    ]


def _floor_holes(holder: Holder) -> list[Callout]:
    """Round holes through the floor with their diameters, the first of each entry of the project."""
    found: dict[int, Callout] = {}
    for opening in holder.openings:
        if opening.spec.through is not Through.FLOOR:
            continue
        for what, size in opening.sizes:
            if what == "diameter" and opening.number not in found:
                low, high = box_mm(opening.cuts[0])
                x, y, _ = ((low + high) / 2).tolist()
                found[opening.number] = Callout(
                    text=f"{opening.spec.kind.words} Ø{size:.2f}", at_mm=(x, y), radius_mm=size / 2
                )
    return list(found.values())


def _cut(holder: Holder, things: Sequence[SeatedThing], *, letter: str, facing: _Facing) -> View:
    """The cut through the middle of the first thing's first pocket, and what is measured of all the things there."""
    at = facing.depth(things[0].pocket.middle_mm())
    cut = Cut(letter=letter, seen_from=facing.side, at_mm=at)
    material = boundary_rings(cut_through(holder.solid, cut))
    lines = [ring_line(ring, Stroke.CUT) for ring in material]
    rim, foot = _extents_behind(holder, at_mm=at, facing=facing)
    lines += _block_in_view(holder, material, rim=rim, foot=foot)
    dimensions: list[Dimension] = []
    heights: list[Height] = []
    for thing in things:
        inside = _measured_heights(thing, holder)
        lines += _edges_in_view(holder, thing, facing=facing)
        dimensions += _pocket_dimensions(holder, thing, inside=inside, facing=facing)
        of = thing.label if len(things) == 2 and len(thing.label) <= _SHORT_NAME else ""
        heights += [Height(at_mm=(foot[1], z), of=of) for _, z in inside]
    dimensions += _heights(holder, things, at_mm=foot[0])
    if facing is _FRONT:
        heights += screw_heights(holder, edge_mm=foot[1])
    plate = holder.plate if facing is _FRONT else None
    callouts: list[Callout] = []
    if plate is not None:
        lines += plate_from_the_front(plate, lift_mm=holder.lift_mm)
        dimensions += plate_dimensions(plate, holder=holder)
        callouts = plate_holes(plate, lift_mm=holder.lift_mm)
    return View(
        lines=tuple(lines),
        cut=cut,
        material=tuple(material),
        dimensions=tuple(dimensions),
        heights=tuple(_apart(heights, everything=[thing.label for thing in things])),
        callouts=tuple(callouts),
    )


def _apart(heights: Sequence[Height], *, everything: Sequence[str]) -> list[Height]:
    """The heights, rising, those that read the same as one: it names all that lies there, but no things where all of them do."""
    by_figures: dict[str, list[Height]] = {}
    for height in heights:
        by_figures.setdefault(f"{height.at_mm[1]:.2f}", []).append(height)
    apart = []
    for same in by_figures.values():
        of = dict.fromkeys(height.of for height in same if height.of)
        if of.keys() >= set(everything):
            of = dict.fromkeys(word for word in of if word not in everything)
        apart.append(replace(same[0], of=", ".join(of)))
    return sorted(apart, key=lambda h: h.at_mm[1])


def _edges_in_view(holder: Holder, thing: SeatedThing, *, facing: _Facing) -> Iterator[Line]:
    """The largest extents of the pockets in view."""
    for pocket in thing.pockets if facing is _FRONT else thing.pockets[:1]:
        levels, up = bounds(pocket.levels), pocket.heights_mm + holder.lift_mm
        for k in (facing.across, facing.across + 2):
            yield open_line(np.column_stack([levels[:, k], up]), Stroke.WIDEST)


def _extents_behind(holder: Holder, *, at_mm: float, facing: _Facing) -> tuple[tuple[float, float], ...]:
    """The least and greatest places across the view of the block's rim and of its foot, in the cut and behind it, mm."""
    left, front, right, back = bounds(holder.foot).tolist()
    corner = (left, -at_mm) if facing is _FRONT else (left, front)
    behind = region(rectangle(corner, (right, back) if facing is _FRONT else (at_mm, back)))
    return tuple(facing.extent(common(area, behind)) for area in (holder.plan, holder.foot))


def _block_in_view(
    holder: Holder, material: Sequence[Floats], *, rim: tuple[float, float], foot: tuple[float, float]
) -> Iterator[Line]:
    """The rim, and a side of the block that stands out behind the cut, beside what is cut."""
    top = holder.height_mm
    yield open_line([(rim[0], top), (rim[1], top)], Stroke.EDGE)
    across_mm = np.concatenate(material)[:, 0]
    for k, cut in enumerate((float(across_mm.min()), float(across_mm.max()))):
        if abs(foot[k] - cut) > SKIN_MM:
            yield open_line([(cut, 0.0), (foot[k], 0.0), (rim[k], top)], Stroke.EDGE)


def _pocket_dimensions(
    holder: Holder, thing: SeatedThing, *, inside: Sequence[tuple[str, float]], facing: _Facing
) -> list[Dimension]:
    """The pocket's size across the view at each measured height."""
    cuts = cut_regions(thing.pocket.solid, np.array([z - holder.lift_mm for _, z in inside]))
    return [
        across(thing.named(f"pocket {facing.word} at {name}"), low, high, at_mm=z)
        for (name, z), (low, high) in zip(inside, map(facing.extent, cuts), strict=True)
    ]


def _heights(holder: Holder, things: Sequence[SeatedThing], *, at_mm: float) -> list[Dimension]:
    """Floor, depth and overall height at the left end of what is drawn; of several things, the first one's where they differ."""
    top = holder.height_mm
    thing = things[0]
    floor = thing.pocket.bottom_mm + holder.lift_mm
    return [
        upright(thing.named("floor"), 0.0, floor, at_mm=at_mm, tier=1),
        upright(thing.named("pocket depth below the rim"), floor, top, at_mm=at_mm, tier=1),
        upright("outside height", 0.0, holder.tall_mm, at_mm=at_mm, tier=2),
    ]
