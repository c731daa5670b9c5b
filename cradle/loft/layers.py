"""At which heights a piece of the skin needs layers: where its columns bend, and nowhere that straight columns would do."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from cradle.geometry.arrays import Floats
from cradle.geometry.region_measures import are_simple
from cradle.loft.interpolate import straight_at, straight_slopes
from cradle.loft.pieces import Piece

_ROUNDS = 10
"""An interval is halved at most this many times."""
_LOOKED_AT = (0.25, 0.5, 0.75)
"""Parts of the way up at which columns are compared with straight ones."""


def refined(layers: Floats, rings_at: Callable[[Floats], Floats], *, chord_mm: float) -> Floats:
    """Heights with more between them wherever columns leave the straight line between two by more than ``chord_mm``.

    Parameters
    ----------
    rings_at : callable
        The rings at ``(m,)`` heights, ``(m, n, 2)``, mm.
    """
    spans = np.arange(len(layers) - 1)
    for _ in range(_ROUNDS):
        low, step = layers[spans], np.diff(layers)[spans]
        ends = rings_at(low), rings_at(low + step)
        far = np.zeros(len(spans), dtype=bool)
        slopes = (ends[1] - ends[0]) / step[:, None, None]
        for part in _LOOKED_AT:
            apart = rings_at(low + part * step) - ((1 - part) * ends[0] + part * ends[1])
            far |= _off_line2(apart, slopes).max(axis=1) > chord_mm**2
        if not far.any():
            break
        fresh = (low + step / 2)[far]
        layers = np.union1d(layers, fresh)
        at = np.searchsorted(layers, fresh)
        spans = np.union1d(at - 1, at)
    return layers


def without_spare(piece: Piece, *, kept_mm: Floats, within_mm: float) -> Piece:
    """The piece without layers from which straight columns between the others are no further than ``within_mm``.

    Going up, each layer that is kept is followed by the highest that allows all
    between the two to be left out. If columns between fewer layers would make rings
    that cross themselves, all layers stay.

    Parameters
    ----------
    kept_mm : (k,) float64
        Heights of layers that stay.
    """
    heights, rings = piece
    stays = np.isin(heights, kept_mm)
    stays[[0, -1]] = True
    kept, low = [0], 0
    while low < len(heights) - 1:
        high = low + 1
        while not stays[high] and _is_passed(piece, low, high + 1, within_mm):
            high += 1
        kept.append(high)
        low = high
    left_out = np.delete(heights, kept)
    sound = are_simple(straight_at(heights[kept], rings[kept], left_out)).all()
    return Piece(heights[kept], rings[kept]) if sound else piece


def _is_passed(piece: Piece, low: int, high: int, within_mm: float) -> bool:
    """Whether straight columns from one layer to another come near enough to all layers between them."""
    ends, inner = [low, high], slice(low + 1, high)
    straight = piece.heights_mm[ends], piece.rings_mm[ends]
    apart = piece.rings_mm[inner] - straight_at(*straight, piece.heights_mm[inner])
    return bool(_off_line2(apart, straight_slopes(*straight)).max() <= within_mm**2)


def _off_line2(apart: Floats, slope: Floats) -> Floats:
    """Squared distances of points from straight columns, ``(m, n)`` mm²: to a column that is not upright it is less than at the point's own height.

    Parameters
    ----------
    apart : (m, n, 2) float64
        From the column to the point at the point's height, mm.
    slope : (m or 1, n, 2) float64
        How far the column runs sideways for each mm up.
    """
    along = (apart * slope).sum(axis=2)
    return np.asarray((apart**2).sum(axis=2) - along**2 / (1 + (slope**2).sum(axis=2)))
