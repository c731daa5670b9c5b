"""Openings from the rim down: notches for a view, a lever or a cable, and scoops for fingers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from cradle.errors import HolderError
from cradle.geometry.arrays import Floats
from cradle.geometry.shapes import rounded_rectangle
from cradle.holder.face import PAST_MM, Face
from cradle.holder.holes import check_pocket_behind
from cradle.holder.opening import Opening
from cradle.project.convert import Pair
from cradle.project.opening import FingerSpec, NotchSpec, Through
from cradle.project.side import PAIRS

FINGER_DEPTH_MM = 15.0
"""Depth of a finger notch where none is stated."""
_OPPOSITE = {Through(one): Through(other) for pair in PAIRS for one, other in (pair, pair[::-1])}
_STEPS = 16
"""Chords to a quarter circle of its bottom."""


def notch(spec: NotchSpec, *, face: Face) -> Opening:
    """A U-shaped opening in one wall; its bottom is round unless a corner radius says otherwise."""
    width, half = spec.width_mm, spec.width_mm / 2
    corner = half if spec.corner_mm is None else spec.corner_mm
    ring, middle, deep = _u_ring(
        spec.at_mm, face=face, half_mm=half, corner_mm=corner, depth_mm=spec.depth_mm
    )
    return Opening(
        spec=spec,
        cuts=(face.cut(ring, middle=middle),),
        sizes=(("width", width), ("depth", deep)),
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
    check_pocket_behind(ring, face=face)
    return ring, np.array([at[0], bottom + depth / 2]), depth
