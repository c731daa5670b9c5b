"""Slits that run into a piece's edge, narrower than anybody cuts them: writing, or a line of the paper, of the ground's colour or near it.

Where such a stroke reaches the edge the piece seems to end along it. The edge is carried on straight across.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.planar import (
    Region,
    closed,
    common,
    outer_rings,
    region,
    simplified,
    union,
    widened,
    without,
)
from cradle.geometry.region_measures import area_mm2, deepest_point, inside
from cradle.pictures.touching_pieces import neck_of

if TYPE_CHECKING:
    from cradle.pictures.contour import PieceEdge

_STROKE_MM: Final = 1.6
_STROKE_MM2: Final = 1.0
"""A pen's stroke is no wider, and no slit that somebody cuts into card so narrow (common practice); a smaller one is the edge's own unevenness."""
_WIDENS: Final = 2.0
"""Filled twice as wide, a slit takes in hardly more, and a nook four times as much: what a circle leaves of an angle grows by its square."""
_EVEN_MM: Final = 0.1
_BESIDE_MM: Final = 0.2
"""How far from a slit's own area its sides lie at most, as the edge is seen."""


def without_slits(edge: PieceEdge, *, grain_mm: float) -> tuple[PieceEdge, Floats]:
    """A piece's edge carried on across the slits in it, and the deepest place of each of these, ``(k, 2)`` px.

    The edge of a piece of several colours stays as it is, and so does that of pieces that touch: beside the bridge
    between them is a gap as narrow.
    """
    none = edge, np.zeros((0, 2))
    if edge.many_coloured:
        return none
    piece = simplified(region(edge.ring_px * grain_mm), within_mm=_EVEN_MM)
    slits = _slits(piece)
    neck = neck_of(max(outer_rings(piece), key=len)) if slits else None
    if not slits or (neck and not neck.own):
        return none
    beside = widened(union(slits), _BESIDE_MM)
    left = ~inside(edge.ring_px * grain_mm, beside)
    tips = [tip for tip in edge.unclear_tips if not inside(tip.at_px[None] * grain_mm, beside).any()]
    carried_on = replace(
        edge,
        ring_px=frozen(edge.ring_px[left]),
        width_px=frozen(edge.width_px[left]),
        unsure_px=frozen(edge.unsure_px[left]),
        soft=edge.soft[left],
        unclear_tips=tuple(tips),
    )
    return carried_on, np.array([deepest_point(slit) / grain_mm for slit in slits])


def _slits(piece: Region) -> list[Region]:
    """The hollows that are as narrow as a stroke at their mouths too; one that goes on widening is a nook, such as a tip's in a cut-out."""
    narrow = hollows(piece, wide_mm=_STROKE_MM, least_mm2=_STROKE_MM2)
    if not narrow:
        return []
    wider = union(hollows(piece, wide_mm=2 * _STROKE_MM, least_mm2=_STROKE_MM2))
    return [
        hollow
        for hollow in narrow
        if float(area_mm2(common(wider, widened(hollow, 2 * _STROKE_MM))) / area_mm2(hollow)) < _WIDENS
    ]


def hollows(piece: Region, *, wide_mm: float, least_mm2: float) -> list[Region]:
    """The hollows in a piece's edge that are no wider than ``wide_mm`` and of an area of at least ``least_mm2``, the largest first."""
    filled_in = without(closed(piece, wide_mm / 2), widened(piece, _EVEN_MM / 2))
    return [hollow for ring in outer_rings(filled_in) if area_mm2(hollow := region(ring)) >= least_mm2]
