"""A plate flush with the block's back, to fix the holder to a wall; the screws' heads lie in front of it.

The plate stands on the bed as the block does: its upper corners are round,
its lower ones square, so that nothing hangs over the bed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from cradle.errors import HolderError, located
from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.planar import Region, region, union
from cradle.geometry.region_measures import bounds, empty
from cradle.geometry.shapes import rectangle
from cradle.geometry.solid import Solid, cut_regions, difference, extruded, mesh_of, overlap_mm3, transformed
from cradle.holder.face import PAST_MM, Face
from cradle.holder.opening import Opening
from cradle.holder.plate_holes import BlockBack, HoleShape, hole_places, hole_shape, plate_outline
from cradle.holder.screws import LEAST_UNDER_HEAD_MM, countersink
from cradle.noun import noun
from cradle.pocket.cavity import Cavity
from cradle.project.block import BlockSpec, PlateHole, PlateSpec
from cradle.project.fasteners import screw_of
from cradle.project.opening import Through
from cradle.units import tenths_up

WHERE: Final = "plate"
"""The table of a project that tells of it, for messages."""
_MEETS_MM3: Final = 0.01
"""Bodies that share no more than this only touch."""


@noun
class WallPlate:
    """A wall plate with its holes, in the stand frame.

    Attributes
    ----------
    outlines_mm : tuple of (n, 2) float64
        Its outline and those of its holes seen from the front, x and z.
    places_mm : (k, 2) float64
        Middles of the screws, x and z; on keyholes where the screws end up.
    front_mm, back_mm : float
        The y of its two faces.
    top_mm, rim_mm : float
        The z of its upper edge and of the block's.
    mouth_mm : float
        The greatest y of the pocket's mouth, lead-in included.
    sizes : tuple of (str, float)
        What calipers should read on it, mm.
    """

    spec: PlateSpec
    solid: Solid
    outlines_mm: tuple[Floats, ...]
    places_mm: Floats
    front_mm: float
    back_mm: float
    top_mm: float
    rim_mm: float
    mouth_mm: float
    sizes: tuple[tuple[str, float], ...]


@located(WHERE)
def wall_plate(spec: PlateSpec, *, pocket: Cavity, plan: Region, block: BlockSpec) -> WallPlate:
    """The plate behind a block, whose plan has a flat back, its holes clear of the block.

    Raises
    ------
    HolderError
        If the plate hides behind the block, is too thin for its countersinks,
        or has no room for its holes.
    """
    x0, _, x1, back = bounds(plan).tolist()
    behind = BlockBack(
        left_mm=x0, right_mm=x1, foot_mm=pocket.bottom_mm - block.floor_mm, rim_mm=pocket.top_mm
    )
    tall, front = behind.tall_mm(spec), back - spec.thickness_mm
    outline, hole = plate_outline(spec, behind), hole_shape(spec)
    places = hole_places(spec, hole, back=behind)
    face = Face(through=Through.BACK, pocket=pocket, plan=plan, block=block)
    rings = [hole.ring + place for place in places]
    body = _along_y(outline, low_mm=front, high_mm=back, face=face)
    cuts = [_along_y(r, low_mm=front - PAST_MM, high_mm=back + PAST_MM, face=face) for r in rings]
    if spec.hole is PlateHole.COUNTERSUNK:
        cuts += _countersinks(spec, places, face=face, front_mm=front)
    return WallPlate(
        spec=spec,
        solid=difference(body, cuts),
        outlines_mm=tuple(frozen(ring) for ring in (outline, *rings)),
        places_mm=frozen(places),
        front_mm=front,
        back_mm=back,
        top_mm=behind.foot_mm + tall,
        rim_mm=behind.rim_mm,
        mouth_mm=float(pocket.extent_mm()[3]) + block.lead_in_mm,
        sizes=tuple(_sizes(spec, hole, places, tall_mm=tall)),
    )


def _countersinks(spec: PlateSpec, places: Floats, *, face: Face, front_mm: float) -> list[Solid]:
    """Seats of the screws' heads in the plate's front."""
    screw = screw_of(spec)
    _check_under_head(spec, (screw.sunk_head_mm - screw.hole_mm) / 2)
    return [
        countersink(
            face,
            face.local(place),
            hole_mm=screw.hole_mm,
            head_mm=screw.sunk_head_mm,
            low_mm=front_mm - PAST_MM,
            seat_mm=front_mm,
        )
        for place in places
    ]


def _sizes(
    spec: PlateSpec, hole: HoleShape, places: Floats, *, tall_mm: float
) -> Iterator[tuple[str, float]]:
    """What of the plate is measured, by name, mm."""
    yield from (("width", spec.width_mm), ("height", tall_mm), ("thickness", spec.thickness_mm))
    if spec.hole is PlateHole.COUNTERSUNK:
        yield "countersink diameter", screw_of(spec).sunk_head_mm
    yield "slot width" if spec.hole is PlateHole.KEYHOLE else "hole diameter", 2 * hole.radius_mm
    for axis, name in ((0, "hole spacing, across"), (1, "hole spacing, up")):
        apart = float(np.ptp(places[:, axis]))
        if apart > 0:
            yield name, apart


def squared_behind(plan: Region, spec: PlateSpec, *, corner_mm: float) -> Region:
    """The block's outline with square corners at the back, where a wider plate takes hold of them."""
    x0, y0, x1, y1 = bounds(plan).tolist()
    if spec.width_mm < x1 - x0:
        return plan
    low = max(y1 - max(corner_mm, spec.thickness_mm), (y0 + y1) / 2)
    return union([plan, region(rectangle((x0, low), (x1, y1)))])


def check_openings(plate: WallPlate, openings: Sequence[Opening], *, plan: Region, foot_mm: float) -> None:
    """Raise when an opening runs into the part of the plate that stands beside or above the block.

    Raises
    ------
    HolderError
    """
    x0, y0, x1, y1 = bounds(plan).tolist()
    shadow = np.array([[x0, y0], [x1, y0], [x1, y1 + PAST_MM], [x0, y1 + PAST_MM]])
    behind = extruded(shadow, low_mm=foot_mm - PAST_MM, high_mm=plate.rim_mm, where=WHERE)
    free = difference(plate.solid, [behind], where=WHERE)
    for opening in openings:
        if any(overlap_mm3(cut, free) > _MEETS_MM3 for cut in opening.cuts):
            raise HolderError(
                "this opening would cut into the wall plate",
                where=opening.where,
                hint="move it away from the plate, or make the plate lower or narrower",
            )


def _check_under_head(spec: PlateSpec, deep_mm: float) -> None:
    left = spec.thickness_mm - deep_mm
    if left >= LEAST_UNDER_HEAD_MM - 1e-9:
        return
    raise HolderError(
        f"only {max(left, 0):.2f} mm of the plate would be left under the screw's head;"
        f" {LEAST_UNDER_HEAD_MM:g} mm or more is needed",
        hint=f"make it {tenths_up(deep_mm + LEAST_UNDER_HEAD_MM)} mm thick, or take a smaller screw",
    )


def _along_y(ring: Floats, *, low_mm: float, high_mm: float, face: Face) -> Solid:
    """The prism over a ring in x and z, between two values of y."""
    made = extruded(face.local_ring(ring), low_mm=low_mm, high_mm=high_mm)
    return transformed(made, face.matrix)


@located(WHERE)
def check_way_out(plate: WallPlate, thing: Solid, *, direction: Floats, clearance_mm: float) -> None:
    """Raise when a plate higher than the block stands in the pocket's mouth or in the thing's way out.

    A wall so much thicker puts the plate so much further back: what is told
    mends both.

    Raises
    ------
    HolderError
    """
    room = room_on_the_way_mm(plate, thing, direction=direction)
    if room is None:
        return
    in_the_mouth, in_the_way = plate.mouth_mm - plate.front_mm, clearance_mm - room
    lacks = max(in_the_mouth, in_the_way)
    if lacks <= 1e-6:
        return
    if in_the_mouth >= in_the_way:
        found = (
            f"a plate {plate.spec.thickness_mm:g} mm thick that rises above the block would stand in the pocket's mouth: "
            f"wall minus lead-in is only {plate.back_mm - plate.mouth_mm:.1f} mm there"
        )
    else:
        passes = (
            f"runs {-room:.1f} mm into the plate" if room < 0 else f"comes within {room:.1f} mm of the plate"
        )
        found = f"above the rim the thing {passes}; {clearance_mm:.2f} mm or more is needed"
    raise HolderError(
        found,
        hint=f"make block.wall {tenths_up(lacks)} mm thicker, the plate no higher than the block, "
        "or lean the thing forward",
    )


def room_on_the_way_mm(plate: WallPlate, thing: Solid, *, direction: Floats) -> float | None:
    """The least distance between the plate above the rim and a thing on its way out, mm; None where none passes.

    Parameters
    ----------
    thing : Solid
        Seated, in the stand frame; below the rim it lies in the pocket.
    direction : (3,) float64
        The way out, upward.

    Notes
    -----
    A point below the plate's top passes it until it leaves at the top; going
    back, its y is largest there, else where it is seated. Below the rim the
    pocket, and so its mouth, stands off already.
    """
    if plate.top_mm <= plate.rim_mm + 1e-9:
        return None
    corners = mesh_of(thing).vertices_mm[:, 1:]
    corners = corners[corners[:, 1] <= plate.top_mm]
    if not len(corners):
        return None
    level = cut_regions(thing, np.array([plate.top_mm]))[0]
    if not empty(level):
        corners = np.concatenate([corners, [[float(bounds(level)[3]), plate.top_mm]]])
    slope = max(float(direction[1] / direction[2]), 0.0)
    return plate.front_mm - float((corners[:, 0] + slope * (plate.top_mm - corners[:, 1])).max())
