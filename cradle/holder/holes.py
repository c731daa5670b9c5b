"""Holes from the pocket to the outside: drains, round holes, slots, windows, and from the rim down notches and finger scoops."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import TypeAlias

import numpy as np

from cradle.errors import HolderError
from cradle.geometry.arrays import Floats
from cradle.geometry.region_measures import bounds
from cradle.geometry.ring import turned
from cradle.geometry.shapes import rectangle, rounded_rectangle
from cradle.holder.face import PAST_MM, Face, disc
from cradle.holder.opening import Opening
from cradle.project.convert import Pair
from cradle.project.opening import DrainSpec, FingerSpec, NotchSpec, RoundSpec, SlotSpec, Through, WindowSpec
from cradle.project.side import PAIRS

HoleSpec: TypeAlias = DrainSpec | RoundSpec | SlotSpec | WindowSpec
_CORNER_MM = 2.0
"""Radius of a window's corners where none is stated."""
_CORNER_STEPS = 8
"""Chords to a quarter circle of them."""
FINGER_DEPTH_MM = 15.0
"""Depth of a finger notch where none is stated."""
_OPPOSITE = {Through(one): Through(other) for pair in PAIRS for one, other in (pair, pair[::-1])}
_SAME_MM = 1e-6
"""Heights and widths nearer than this are the same."""
_STEPS = 16
"""Chords to a quarter circle of its bottom."""


def hole(spec: HoleSpec, *, face: Face) -> Opening:
    """A drain, a round hole, a slot or a window."""
    middle = face.place(spec.at_mm)
    ring = face.local_ring(opening_ring(spec)) + middle
    if not face.is_floor:
        check_pocket_behind(_box(ring) if isinstance(spec, WindowSpec) else ring, face=face)
    return Opening(spec=spec, cuts=(face.cut(ring, middle=middle),), sizes=_sizes(spec))


def opening_ring(spec: HoleSpec) -> Floats:
    """The opening's outline about the origin, ``(n, 2)``, counter-clockwise, mm.

    A round hole is a polygon around its circle, so it is never smaller than
    its diameter; a slot is two half circles joined, turned by ``turn_deg``.
    """
    if isinstance(spec, WindowSpec):
        wide, high = spec.width_mm, spec.height_mm
        corner = min(_CORNER_MM, wide / 2, high / 2) if spec.corner_mm is None else spec.corner_mm
        far = np.array([wide, high]) / 2
        window = rounded_rectangle(-far, far, radii_mm=[corner] * 4, steps=_CORNER_STEPS)
        return turned(window, angle_deg=spec.turn_deg)
    if not isinstance(spec, SlotSpec):
        return disc(spec.diameter_mm / 2)
    circle = disc(spec.width_mm / 2)
    half = max(0.0, (spec.length_mm - spec.width_mm) / 2)
    ring = circle + np.column_stack([np.sign(circle[:, 0]) * half, np.zeros(len(circle))])
    return turned(ring, angle_deg=spec.turn_deg)


def check_pocket_behind(ring: Floats, *, face: Face) -> None:
    """Raise when the pocket behind a wall is narrower than an opening, or the opening leaves the wall.

    Raises
    ------
    HolderError
    """
    v0, v1 = float(ring[:, 1].min()), float(ring[:, 1].max())
    pocket = face.pocket
    if v0 < pocket.bottom_mm:
        raise HolderError(
            f"the opening reaches down to {v0:.1f} mm, below the pocket's floor at {pocket.bottom_mm:.1f} mm",
            hint="move it up, or make it less high or deep",
        )
    edge = pocket.top_mm - face.block.chamfer_mm
    if v1 > edge and v1 < pocket.top_mm + PAST_MM / 2:
        raise HolderError(
            f"the opening reaches up to {v1:.1f} mm, into the edge of the rim, which begins at {edge:.1f} mm",
            hint='move it down, make it less high, or use kind = "notch", which is open at the rim',
        )
    z, aside = pocket.heights_mm, face.aside_along_mm
    met = np.flatnonzero((z >= v0) & (z <= v1))
    if not len(met):  # it lies between two levels: the nearer stands for it
        met = np.array([np.abs(z - (v0 + v1) / 2).argmin()])
    between = [v0, *((z[met[:-1]] + z[met[1:]]) / 2).tolist(), v1]
    for k, stretch in zip(met.tolist(), pairwise(between), strict=True):
        low, high = bounds(pocket.levels[k])[face.along :: 2].tolist()
        reach = _reach(ring, stretch)
        a, b = sorted(float(v) for v in face.local(np.array([[u, 0] for u in reach]))[:, 0])
        if a < low - _SAME_MM or b > high + _SAME_MM:
            raise HolderError(
                f"the opening is {np.ptp(ring[:, 0]):.1f} mm wide; at {z[k]:.0f} mm it reaches from {a - aside:.1f} to {b - aside:.1f} mm,"
                f" and the pocket behind it lies between {low - aside:.1f} and {high - aside:.1f} mm",
                hint="make it narrower or move it",
            )


def _box(ring: Floats) -> Floats:
    """The box around an outline that is nearly as wide all the way up."""
    return rectangle(tuple(ring.min(axis=0).tolist()), tuple(ring.max(axis=0).tolist()))


def _reach(ring: Floats, stretch: tuple[float, float]) -> tuple[float, float]:
    """The least and the greatest u of a ring between two values of v that it reaches."""
    ends = np.roll(ring, -1, axis=0)
    at = [ring[(ring[:, 1] >= stretch[0] - _SAME_MM) & (ring[:, 1] <= stretch[1] + _SAME_MM), 0]]
    for v in stretch:
        crossing = (np.minimum(ring[:, 1], ends[:, 1]) < v) & (v < np.maximum(ring[:, 1], ends[:, 1]))
        (u, from_v), (to_u, to_v) = ring[crossing].T, ends[crossing].T
        at.append(u + (v - from_v) / (to_v - from_v) * (to_u - u))
    found = np.concatenate(at)
    return float(found.min()), float(found.max())


def _sizes(spec: HoleSpec) -> tuple[tuple[str, float], ...]:
    if isinstance(spec, SlotSpec):
        return ("width", spec.width_mm), ("length", spec.length_mm)
    if isinstance(spec, WindowSpec):
        return ("width", spec.width_mm), ("height", spec.height_mm)
    return (("diameter", spec.diameter_mm),)


def notch(spec: NotchSpec, *, face: Face) -> Opening:
    """A U-shaped opening in one wall; its bottom is round unless a corner radius says otherwise."""
    width, half = spec.width_mm, spec.width_mm / 2
    corner = half if spec.corner_mm is None else spec.corner_mm
    ring, middle, deep = _u_ring(
        spec.at_mm, face=face, half_mm=half, corner_mm=corner, depth_mm=spec.depth_mm
    )
    return Opening(
        spec=spec, cuts=(face.cut(ring, middle=middle),), sizes=(("width", width), ("depth", deep))
    )


def finger_notches(spec: FingerSpec, *, face: Face) -> Opening:
    """Two round notches, in a wall and the one opposite."""
    width = spec.width_mm
    depth = spec.depth_mm or (FINGER_DEPTH_MM if spec.at_mm is None else None)
    cuts = []
    for one in (face, replace(face, through=_OPPOSITE[face.through])):
        ring, middle, deep = _u_ring(
            spec.at_mm, face=one, half_mm=width / 2, corner_mm=width / 2, depth_mm=depth
        )
        cuts.append(one.cut(ring, middle=middle))
    return Opening(spec=spec, cuts=tuple(cuts), sizes=(("width", width), ("depth", deep)))


def _u_ring(
    at_mm: Pair | None, *, face: Face, half_mm: float, corner_mm: float, depth_mm: float | None
) -> tuple[Floats, Floats, float]:
    """The notch's outline, u and v, a place in it where the pocket must be, and its depth below the rim."""
    top = face.pocket.top_mm
    at = face.place(at_mm)
    bottom = float(at[1]) if depth_mm is None else top - depth_mm
    depth = top - bottom
    if depth <= 0:
        raise HolderError(
            f"the notch's bottom at {bottom:.1f} mm is not below the rim at {top:.1f} mm",
            hint="give a lower bottom, or its depth",
        )
    corner, low, high = min(corner_mm, depth), [at[0] - half_mm, bottom], [at[0] + half_mm, top + PAST_MM]
    ring = rounded_rectangle(np.array(low), np.array(high), radii_mm=[corner, corner, 0.0, 0.0], steps=_STEPS)
    check_pocket_behind(_box(ring), face=face)
    return ring, np.array([at[0], bottom + depth / 2]), depth
