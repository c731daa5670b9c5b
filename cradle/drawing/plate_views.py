"""The wall plate as drawn: from above, from the front, its dimensions, its holes and how high the screws sit."""

from __future__ import annotations

from typing import Final

from cradle.drawing.view import (
    Callout,
    Dimension,
    Height,
    Line,
    Placement,
    Stroke,
    across,
    open_line,
    ring_line,
    upright,
)
from cradle.geometry.planar import Region
from cradle.geometry.region_measures import bounds
from cradle.holder.holder import Holder
from cradle.holder.on_the_wall import wall_places_mm
from cradle.holder.wall_plate import WallPlate

SKIN_MM: Final = 0.01
"""Lengths that differ by less are drawn as one; what a body shows at its end is read off a cut this far inside."""


def plate_from_above(plate: WallPlate, plan: Region) -> list[Line]:
    """What of the wall plate stands out beside the block, at its widest."""
    x0, _, x1, _ = bounds(plan).tolist()
    y0, y1 = plate.front_mm, plate.back_mm
    low, high = float(plate.outlines_mm[0][:, 0].min()), float(plate.outlines_mm[0][:, 0].max())
    return [
        open_line([(inner, y0), (outer, y0), (outer, y1), (inner, y1)], Stroke.EDGE)
        for inner, outer in ((x0, low), (x1, high))
        if (outer < x0) or (outer > x1)
    ]


def plate_from_the_front(plate: WallPlate, *, lift_mm: float) -> list[Line]:
    """The wall plate and its holes behind the cut from the front."""
    return [ring_line(ring + [0.0, lift_mm], Stroke.EDGE) for ring in plate.outlines_mm]


def plate_dimensions(plate: WallPlate, *, holder: Holder) -> list[Dimension]:
    """Height of the plate where it is not the holder's, and how far its screws are apart, across and up."""
    lift_mm = holder.lift_mm
    z0, z1 = plate.outlines_mm[0][:, 1].min() + lift_mm, plate.outlines_mm[0][:, 1].max() + lift_mm
    x0 = float(plate.outlines_mm[0][:, 0].min())
    found, tier = [], 3
    if z1 - z0 < holder.tall_mm - SKIN_MM:
        found.append(upright("plate height", float(z0), float(z1), at_mm=x0, tier=tier))
        tier += 1
    (p0, q0), (p1, q1) = plate.places_mm.min(axis=0).tolist(), plate.places_mm.max(axis=0).tolist()
    if p1 - p0 > SKIN_MM:
        at = q1 + lift_mm
        found.append(across("plate hole spacing, across", p0, p1, at_mm=at, placement=Placement.ABOVE))
    if q1 - q0 > SKIN_MM:
        found.append(upright("plate hole spacing, up", q0 + lift_mm, q1 + lift_mm, at_mm=p0, tier=tier))
    return found


def plate_holes(plate: WallPlate, *, lift_mm: float) -> list[Callout]:
    """The plate's screw holes: how many, how wide, and how wide their heads' seats are."""
    sizes = dict(plate.sizes)
    wide = sizes.get("hole diameter")
    if wide is None:
        return []
    seat = sizes.get("countersink diameter")
    words = f"{len(plate.places_mm)}× Ø{wide:.2f}" + (
        f", countersunk Ø{seat:.2f}" if seat is not None else ""
    )
    x, z = max(plate.places_mm.tolist(), key=lambda place: (place[1], place[0]))
    return [Callout(text=words, at_mm=(x, z + lift_mm), radius_mm=wide / 2)]


def screw_heights(holder: Holder, *, edge_mm: float) -> list[Height]:
    """How high above the base the screws in the wall are; a keyhole's where the screw ends up."""
    levels = sorted({round(float(z), 2) for z in wall_places_mm(holder)[:, 1] + holder.lift_mm})
    of = "screw" if len(levels) == 1 else "screws"
    return [Height(at_mm=(edge_mm, z), of=of) for z in levels]
