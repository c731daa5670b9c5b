"""Holes for screws, plain and countersunk; the head lies on the pocket's side, clear of the thing."""

from __future__ import annotations

import numpy as np

from cradle.errors import HolderError
from cradle.geometry.arrays import Floats
from cradle.geometry.planar import region
from cradle.geometry.solid import Solid, transformed
from cradle.geometry.stack import stack_solid
from cradle.holder.face import Face, disc
from cradle.holder.opening import Driver, Opening
from cradle.project.fasteners import screw_of
from cradle.project.opening import CountersunkSpec, ScrewSpec
from cradle.units import tenths_up

LEAST_UNDER_HEAD_MM = 1.2
"""What must be left under a countersunk head: three printed lines (common practice, no source)."""


def screw_hole(spec: ScrewSpec, *, face: Face) -> Opening:
    """A clearance hole, countersunk by 90 degrees when the kind says so.

    Raises
    ------
    HolderError
        If too little material is left under the head.
    """
    screw = screw_of(spec)
    hole, head = screw.hole_mm, screw.sunk_head_mm
    sunk = isinstance(spec, CountersunkSpec)
    middle = face.place(spec.at_mm)
    start = face.pocket_start(disc((head if sunk else hole) / 2) + middle, middle=middle)
    cuts = [face.solid(disc(hole / 2) + middle, low_mm=start, high_mm=face.past_mm)]
    sizes = [("hole diameter", hole)]
    seat = face.pocket_reach(middle, max(head, hole) / 2)
    if seat is None:
        x, y = face.as_given(middle)
        raise HolderError(
            f"the head of the screw at ({x:z.1f}, {y:z.1f}) mm would not be inside the pocket",
            hint="move it to where the pocket is behind it",
        )
    if sunk:
        tall = (head - hole) / 2
        _check_left(face, middle, seat + tall, head_mm=head)
        cuts.append(countersink(face, middle, hole_mm=hole, head_mm=head, low_mm=start, seat_mm=seat))
        sizes.append(("countersink diameter", head))
    turn = face.matrix[:3, :3]
    return Opening(
        spec=spec,
        cuts=tuple(cuts),
        sizes=tuple(sizes),
        driver=Driver(
            head_at_mm=turn @ [*middle, min(start, seat)], towards=-turn[:, 2], head_mm=max(head, hole)
        ),
        wall_mm=face.wall_place(middle),
    )


def countersink(
    face: Face, middle: Floats, *, hole_mm: float, head_mm: float, low_mm: float, seat_mm: float
) -> Solid:
    """A 90 degree cone from the head's edge at ``seat_mm`` outward to the hole, and room for the head inward."""
    wide, narrow = region(disc(head_mm / 2) + middle), region(disc(hole_mm / 2) + middle)
    tall = (head_mm - hole_mm) / 2
    heights = np.array([low_mm, seat_mm, seat_mm + tall])
    levels = [wide, wide, narrow]
    if seat_mm - low_mm < 1e-6:
        heights, levels = heights[1:], levels[1:]
    return transformed(stack_solid(heights, levels), face.matrix)


def _check_left(face: Face, middle: Floats, deep_mm: float, *, head_mm: float) -> None:
    outside = face.outside(middle, head_mm / 2)
    if outside is None:
        x, y = face.as_given(middle)
        raise HolderError(
            f"a head of {head_mm:g} mm at ({x:z.1f}, {y:z.1f}) mm reaches past the edge of the {face.words}: all of it"
            " must lie within",
            hint="move it inward",
        )
    left = outside[0] - deep_mm
    if left < LEAST_UNDER_HEAD_MM - 1e-9:
        what = "floor" if face.is_floor else "wall"
        raise HolderError(
            f"{max(left, 0):.2f} mm of the {what} would be left under the screw's head;"
            f" {LEAST_UNDER_HEAD_MM:g} mm or more is needed",
            hint=f"make the {what} {tenths_up(LEAST_UNDER_HEAD_MM - left)} mm thicker, or take a smaller screw",
        )
