"""Recesses from outside: magnets, rubber feet, keyholes, letters. None may meet the pocket."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from cradle.errors import HolderError
from cradle.geometry.arrays import Floats
from cradle.geometry.lettering import lettering, letters_missing
from cradle.geometry.planar import Region, shifted
from cradle.geometry.region_measures import bounds, empty
from cradle.geometry.shapes import CORNERS, rectangle
from cradle.geometry.solid import Solid, common, difference, moved, prism, transformed
from cradle.holder.block import block_solid, widened_plan
from cradle.holder.face import PAST_MM, Face, disc
from cradle.holder.opening import Opening
from cradle.names import point_words
from cradle.project.fasteners import ScrewChoice, screw_of
from cradle.project.opening import FeetSpec, KeyholeSpec, LabelSpec, MagnetSpec
from cradle.units import tenths_up

_MAGNET_ROOM_MM = 0.15
"""Room around a magnet, per side: printed holes come out 0.1 to 0.3 mm small across (sellers' advice)."""
_MAGNET_DEEPER_MM = 0.2
"""A magnet lies this much below the surface: one layer, for the glue."""
_FEET_ROOM_MM = 0.25
"""Room around a rubber foot, per side."""
HEAD_ROOM_MM = 0.5
"""Room around a screw's head and shank in a keyhole, per side (common practice, no source)."""
_LEAST_HOLD_MM = 1.0
"""What a keyhole's lip must cover of the head, each side of its slot (common practice, no source)."""
_EDGE_MM = 2.0
"""What must be left between a recess and the edge of its face."""
_FLAT_MM = 0.3
"""A face that is less even than this is not flat."""


def magnet(spec: MagnetSpec, *, face: Face) -> Opening:
    """A round recess a little wider and deeper than the magnet."""
    radius, deep = spec.diameter_mm / 2 + _MAGNET_ROOM_MM, spec.depth_mm + _MAGNET_DEEPER_MM
    cut = _round(face, face.place(spec.at_mm), radius_mm=radius, deep_mm=deep)
    sizes = (("recess diameter", 2 * radius), ("recess depth", deep))
    return Opening(spec=spec, cuts=(cut,), blind=(cut,), sizes=sizes)


def feet(spec: FeetSpec, *, face: Face) -> Opening:
    """Four round recesses, as far out in the corners of the foot as they fit; ``at`` gives one of the four."""
    radius, deep = spec.diameter_mm / 2 + _FEET_ROOM_MM, spec.depth_mm
    x0, y0, x1, y1 = bounds(face.outline_at(face.foot_mm)).tolist()
    middle, half = np.array([x0 + x1, y0 + y1]) / 2, np.array([x1 - x0, y1 - y0]) / 2
    if spec.at_mm is not None:
        arm = np.abs(np.array(spec.at_mm) + [face.x_offset_mm, 0.0] - middle)
        if (arm < radius).any():
            raise HolderError(
                f"four feet of {spec.diameter_mm:g} mm with one at {point_words(spec.at_mm)} mm meet at the holder's middle, "
                f"{point_words(middle - [face.x_offset_mm, 0.0])} mm",
                hint=f"move it {tenths_up(radius)} mm or more from there both ways, or leave at out",
            )
    else:
        arm = half - radius - _EDGE_MM - face.block.chamfer_mm
        while (arm > radius).all() and any(
            face.outside(face.local(middle + arm * sign), radius + _EDGE_MM - 1e-3) is None
            for sign in CORNERS
        ):
            arm = arm - 0.5
        if (arm < radius).any():
            raise HolderError(
                f"four feet of {spec.diameter_mm:g} mm do not fit under the holder, {x1 - x0:.1f} × {y1 - y0:.1f} mm:"
                f" they may not meet, and {_EDGE_MM:g} mm must be left to its edge",
                hint="use smaller feet, or flare the foot",
            )
    cuts = tuple(
        _round(face, face.local(middle + arm * sign), radius_mm=radius, deep_mm=deep) for sign in CORNERS
    )
    sizes = (("recess diameter", 2 * radius), ("recess depth", deep))
    return Opening(spec=spec, cuts=cuts, blind=cuts, sizes=sizes)


def keyhole(spec: KeyholeSpec, *, face: Face) -> Opening:
    """An entry for the head, a slot for the shank above it, and room for the head behind the slot's lip.

    ``at`` is where the screw ends up, at the slot's upper end; the entry lies
    one head's width below.
    """
    tall, lip = screw_of(spec).pan_height_mm, spec.lip_mm
    deep = spec.depth_mm or lip + tall + HEAD_ROOM_MM
    if deep <= lip:
        raise HolderError(
            f"a keyhole {deep:g} mm deep has no room for a head behind its lip of {lip:g} mm;"
            f" {tenths_up(lip + tall + HEAD_ROOM_MM)} mm is needed",
            hint="make it deeper or its lip thinner",
        )
    neck, room = keyhole_radii(spec)
    up = face.place(spec.at_mm)
    entry = up - [0.0, 2 * room]
    flat = min(_surface(face, up, room), _surface(face, entry, room))
    front = flat + PAST_MM + _FLAT_MM
    cuts = (
        face.solid(disc(room) + entry, low_mm=flat - deep, high_mm=front),
        face.solid(upright_slot(neck, up, entry), low_mm=flat - deep, high_mm=front),
        face.solid(upright_slot(room, up, entry), low_mm=flat - deep, high_mm=flat - lip),
    )
    sizes = (("slot width", 2 * neck), ("entry diameter", 2 * room), ("lip", lip))
    return Opening(spec=spec, cuts=cuts, blind=cuts, sizes=sizes, wall_mm=face.wall_place(up))


def label(spec: LabelSpec, *, face: Face) -> Opening:
    """Letters sunk to the same depth everywhere, as the wall's outside curves and slopes.

    Raises
    ------
    HolderError
        If the text is wider or higher than the wall or deeper than the block, or the font lacks one of its letters.
    """
    if missing := letters_missing(spec.text):
        raise HolderError(
            f"the text {spec.text!r} has letters that cannot be engraved: {missing}",
            hint="write it in Latin letters",
        )
    letters = lettering(spec.text, height_mm=spec.height_mm)
    _, _, wide, tall = bounds(letters).tolist()
    middle = face.place(spec.at_mm)
    top = face.outline_at(face.pocket.top_mm)
    block_mm = np.ptp(bounds(top).reshape(2, 2), axis=0).tolist()
    high_mm = face.pocket.top_mm - face.foot_mm
    for corner in ((-1, -1), (1, -1), (1, 1), (-1, 1)):
        if face.outside(middle + np.array(corner) * [wide / 2 - 1, tall / 2 - 1], 1.0) is None:
            x, y = face.as_given(middle)
            elsewhere = spec.at_mm is not None and wide <= block_mm[face.along] and tall <= high_mm
            raise HolderError(
                f"the text {spec.text!r} is {wide:.0f} mm wide and {tall:.0f} mm high: "
                + (
                    f"at ({x:z.1f}, {y:z.1f}) mm it reaches past the edge of"
                    if elsewhere
                    else "it does not fit"
                )
                + f" the {face.words}, {block_mm[face.along]:.0f} mm wide and {high_mm:.0f} mm high",
                hint=f"{'move it inward, ' if elsewhere else ''}make its height smaller or the text shorter",
            )
    behind = widened_plan(top, -spec.depth_mm)
    if empty(behind):
        raise HolderError(
            f"letters {spec.depth_mm:g} mm deep go right through the block; less than {min(block_mm) / 2:.1f} mm, half of it,"
            " is allowed",
            hint="make their depth smaller",
        )
    placed = shifted(letters, middle - [wide / 2, tall / 2])
    bar = transformed(prism(placed, low_mm=0.0, high_mm=_reach(face)), face.matrix)
    cut = common(difference(bar, [_block_behind(behind, face=face)]), _own_half(face))
    return Opening(spec=spec, cuts=(cut,), blind=(cut,), sizes=(("letter height", tall),))


def _round(face: Face, middle: Floats, *, radius_mm: float, deep_mm: float) -> Solid:
    flat = _surface(face, middle, radius_mm)
    return face.solid(disc(radius_mm) + middle, low_mm=flat - deep_mm, high_mm=flat + PAST_MM + _FLAT_MM)


def _surface(face: Face, middle: Floats, radius_mm: float) -> float:
    """The w of a flat face about a place.

    Raises
    ------
    HolderError
        If the face ends there, or is not flat.
    """
    outside = face.outside(middle, radius_mm + _EDGE_MM - 1e-3)
    x, y = face.as_given(middle)
    if outside is None:
        raise HolderError(
            f"a recess {2 * radius_mm:.1f} mm wide at ({x:z.1f}, {y:z.1f}) mm reaches past the edge of the"
            f" {face.words} (less than {_EDGE_MM:g} mm would be left)",
            hint="move it inward or make it smaller",
        )
    low, high = outside
    if high - low > _FLAT_MM:
        raise HolderError(
            f"the {face.words} is not flat at ({x:z.1f}, {y:z.1f}) mm: it falls off by {high - low:.1f} mm,"
            f" up to {_FLAT_MM:g} mm is allowed",
            hint='use form = "box" and flare = 0',
        )
    return low


def keyhole_radii(spec: ScrewChoice) -> tuple[float, float]:
    """Radii of a keyhole's slot and of its entry, mm, with room for the screw's shank and head.

    Raises
    ------
    HolderError
        If the head would slip through the slot.
    """
    screw = screw_of(spec)
    neck, room = screw.nominal_mm / 2 + HEAD_ROOM_MM, screw.pan_head_mm / 2 + HEAD_ROOM_MM
    if room - neck < _LEAST_HOLD_MM:
        raise HolderError(
            f"a lip of {room - neck:.1f} mm on each side of the slot is too little to hold a head of {screw.pan_head_mm:g} mm;"
            f" {_LEAST_HOLD_MM:g} mm or more is needed",
            hint="take a screw with a wider head",
        )
    return neck, room


def upright_slot(radius_mm: float, high: Floats, low: Floats) -> Floats:
    """A slot with round ends from one place down to another."""
    circle = disc(radius_mm)
    upper = circle[:, 1] >= 0
    order = np.argsort(np.arctan2(circle[:, 1], circle[:, 0]) % (2 * np.pi), kind="stable")
    circle, upper = circle[order], upper[order]
    return np.where(upper[:, None], circle + high, circle + low)


def _block_behind(plan: Region, *, face: Face) -> Solid:
    """The block on another outline, with sharp edges: what letters sunk into it leave."""
    height = face.pocket.top_mm - face.foot_mm
    inner = block_solid(plan, replace(face.block, chamfer_mm=0.0), height_mm=height)
    return moved(inner, (0.0, 0.0, face.foot_mm))


def _own_half(face: Face) -> Solid:
    """All of the block that lies on the face's side of its middle, and more around it."""
    x0, y0, x1, y1 = bounds(face.plan).tolist()
    middle = float(face.matrix[:2, 2] @ np.array([(x0 + x1) / 2, (y0 + y1) / 2]))
    reach = _reach(face)
    far = 4 * reach + 1000.0
    square = rectangle((-far, -far), (far, far))
    return face.solid(square, low_mm=middle, high_mm=reach)


def _reach(face: Face) -> float:
    """A distance from the stand frame's upright axis outside the block, mm."""
    x0, y0, x1, y1 = bounds(face.outline_at(face.foot_mm)).tolist()
    return max(abs(v) for v in (x0, y0, x1, y1)) + PAST_MM
