"""Where an edge is not to be believed: it shows no step, or glare lies over it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

if TYPE_CHECKING:
    from cradle.geometry.arrays import Bools, Bytes, Floats, Singles
    from cradle.pictures.steepest import SteepestEdge

_SOFT: Final = 2.0
_SOFT_PX: Final = 2.5
"""A step is soft when it is more than this many times as wide as usual on this edge, and wider by more than this many px."""
_WHITE: Final = 252
_NEARLY_WHITE: Final = 244.0
"""A thing or ground of at least these levels may show white without any glare; no scanner's lid or paper much darker does."""
_BRIGHTER: Final = 15.0
"""What is brighter than the ground by more than this many levels ..."""
_EVERY: Final = 3.0
"""... by more than this many in every channel, as a reflection takes away no colour ..."""
_ABOVE_USUAL: Final = 6.0
"""... and by more than this many times the usual difference there is no ground."""
_AROUND_PX: Final = (-6, 0, 6)
_MOSTLY: Final = 0.5
"""Part of what lies round a place that is white when glare covers it."""
_SPOT: Final = 0.4
"""Least width of a spot of glare, as part of how far its rim reaches: what is narrower is writing."""


def soft_places(edge: SteepestEdge) -> Bools:
    """Where the step is several times as wide as elsewhere on the edge, ``(n,)`` bool."""
    usual = float(np.quantile(edge.width_px, 0.1))
    return np.asarray(edge.width_px > max(_SOFT * usual, usual + _SOFT_PX))


def glare_places(
    levels: Bytes, points: Floats, *, soft: Bools, piece: Floats, ground: Floats, reach_px: float
) -> Bools:
    """Where glare lies over an edge, ``(n,)`` bool.

    Of two things that are not white, white beside the edge is glare, and its rim may pass for a step; beside
    white ground, only what shows no step.

    Parameters
    ----------
    levels : (h, w, c)
    points : (n, 2)
        Of the edge, px.
    soft : (n,) bool
        Where it shows no step.
    piece, ground : (c,)
        Their usual levels.
    reach_px : float
        How far from a white spot its rim may be taken for the edge.
    """
    if max(float(piece.min()), float(ground.min())) < _NEARLY_WHITE:
        return _near_white(levels, points, reach_px=reach_px)
    h, w = levels.shape[:2]
    around = np.array([(x, y) for x in _AROUND_PX for y in _AROUND_PX])
    at = np.rint(points[:, None] + around).astype(np.int64)
    seen = levels[at[..., 1].clip(0, h - 1), at[..., 0].clip(0, w - 1)].min(axis=-1)
    return np.asarray(soft & ((seen >= _WHITE).mean(axis=1) > _MOSTLY))


def bright_places(above: Singles, points: Floats, *, own: Bools, least_px: float, reach_px: float) -> Bools:
    """Where something brighter than the ground lies at the edge of a darker piece, ``(n,)`` bool: it is no ground seen there.

    Parameters
    ----------
    above : (h, w)
        By how many levels each pixel is brighter than the ground (`brighter_by`).
    points : (n, 2)
        Of the edge, px.
    own : (h, w) bool
        What the piece covers.
    least_px : float
        What is narrower is a line of the ground, or a rim that a camera sharpened.
    reach_px : float
        How far it may lie from the edge.
    """
    around = np.abs(above[~own])
    usual = float(np.median(around)) if around.size else 0.0
    bright = (above > max(_BRIGHTER, _ABOVE_USUAL * usual)) & ~own
    return _near_spots(bright.astype(np.uint8), points, across=max(3, round(least_px) | 1), reach_px=reach_px)


def brighter_by(levels: Singles, ground: Singles) -> Singles:
    """By how many levels each pixel is brighter than the ground, ``(h, w)``; 0 where it is not so in every channel."""
    rise = levels - ground
    return np.where(rise.min(axis=2) > _EVERY, rise.mean(axis=2), np.float32(0.0))


def _near_white(levels: Bytes, points: Floats, *, reach_px: float) -> Bools:
    """Which points lie within reach of a spot that is white all over, ``(n,)`` bool."""
    import cv2

    white = np.asarray(cv2.inRange(levels, np.full(levels.shape[2], _WHITE), np.full(levels.shape[2], 255)))
    across = max(3, round(_SPOT * reach_px) | 1)
    return _near_spots((white > 0).astype(np.uint8), points, across=across, reach_px=reach_px)


def _near_spots(spots: Bytes, points: Floats, *, across: int, reach_px: float) -> Bools:
    """Which points lie within reach of a spot at least so wide, ``(n,)`` bool."""
    import cv2

    h, w = spots.shape
    wide = cv2.erode(spots, np.ones((across, across), np.uint8))
    if not wide.any():
        return np.zeros(len(points), dtype=bool)
    away = cv2.distanceTransform(1 - wide, cv2.DIST_L2, 3)
    x, y = np.rint(points).astype(np.int64).T
    return np.asarray(away[y.clip(0, h - 1), x.clip(0, w - 1)] <= reach_px + across / 2)
