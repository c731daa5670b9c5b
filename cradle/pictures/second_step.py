"""A second step a little inside an edge: the piece's own, where what was traced is the rim of its shadow.

A shadow that is as deep all over ends in a step like an edge's. The piece begins at the next step inwards, which
may be weaker. What lies between has the ground's colour, only darker; where it has not, it is the piece's.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np

from cradle.geometry.arrays import Bools, Bytes, Floats, Singles
from cradle.geometry.ring import edge_lengths
from cradle.pictures.light import in_light
from cradle.pictures.masks import filled
from cradle.pictures.sampled import sampled
from cradle.pictures.steepest import outward

if TYPE_CHECKING:
    from numpy.typing import NDArray


_STEP_PX: Final = 0.5
"""Distance between readings of the light on the way inwards."""
_STATIONS: Final = 500
"""Light is read inwards from at least this many points of the edge, if it has as many, and fewer than twice as many."""
_APART_PX: Final = 4.0
"""From this far inside an edge on, any other step is one of its own, not the blur of the first."""
_DIP_PX: Final = 1.5
"""From this far on, a step back is told from the edge already: there the light changes the other way."""
_LEAST_BACK: Final = 0.25
"""Least steepness of a step back, as part of that at the edge."""
_BETWEEN: Final = 0.6
"""Part of the way to the second step at which what lies between is looked at."""
_LEAST: Final = 0.12
"""Least steepness of a second step in light, as part of that at the edge."""
_ALIKE: Final = 0.04
"""How far the channels' shares of the light between both steps may differ from those of the ground's."""
_DARKER: Final = (0.04, 0.9)
"""Least and greatest part of the ground's light that a shadow leaves."""
_TINT_PX: Final = 4.0
"""Tints are averaged over this on either side of a step, along the way inwards ..."""
_TINT_STATIONS: Final = 25
"""... and over so many stations along the edge, about a twentieth of it: a grey card differs from its shadow under a lamp by a tint alone."""
_LEAST_TINT: Final = 0.012
_ABOVE_USUAL: Final = 6.0
"""Channels' shares of the light differ by more than the first, and by more than so many times what they usually do from place to
place: under a warm lamp grey card and its shadow by 0.025, noise by 0.002."""
_INSIDE: Final = 0.85
"""A place belongs to its own part of the edge if it lies at least this part of its depth away from all of the edge."""
_RUN_MM: Final = 3.0
"""Length of the run of the edge along which a second step must keep its distance."""
_EVEN_MM: Final = 0.3
"""How far from their median most of the distances in that run may lie."""


def inner_step_px(levels: Bytes, ring_px: Floats, *, reach_mm: float, grain_mm: float) -> Floats:
    """How far inside each point of an edge another step lies beyond what may be a shadow, ``(n,)`` px; 0 where none does.

    Parameters
    ----------
    levels : (h, w, c) uint8
    ring_px : (n, 2)
        The edge, closed and dense.
    reach_mm : float
        How far inwards to look.
    grain_mm : float
        Length of a pixel.
    """
    every = max(1, len(ring_px) // _STATIONS)
    ring = ring_px[::every]
    # a scale that is far off asks for more than there is
    reach_px = min(reach_mm / grain_mm, min(levels.shape[:2]) / 2)
    depth = np.arange(-_APART_PX, max(_APART_PX, reach_px) + 2.5, _STEP_PX)
    at = _inwards(ring, depth)
    light = _light_at(levels, at)
    within = _inside(levels.shape[:2], ring, at, depth)
    away = _second_step(light, depth, within=within)
    away = np.where(away > 0, away, _second_tint(light, depth, within=within))
    length = float(edge_lengths(ring).mean())
    away = _even(away, half=max(2, round(_RUN_MM / 2 / grain_mm / length)), by_px=_EVEN_MM / grain_mm)
    return np.repeat(away, every)[: len(ring_px)] if every > 1 else away


def _inwards(ring: Floats, depth: Floats) -> Singles:
    """The places at each depth inside each point of a ring, ``(n, k, 2)`` px."""
    return (ring[:, None] - depth[:, None] * outward(ring, reach=2)[:, None]).astype(np.float32)


def _light_at(levels: Bytes, at: Singles) -> Floats:
    """Light at places, averaged with its neighbours', ``(n, k, c)``."""
    import cv2

    light = sampled(in_light(levels), at)
    return np.asarray(cv2.blur(light, (3, 5)).reshape(*at.shape[:2], -1), dtype=np.float64)


def _second_step(light: Floats, depth: Floats, *, within: Bools) -> Floats:
    """How far inwards light ``(n, k, c)`` steps again behind what may be a shadow, ``(n,)``; 0 where it does not."""
    slope = np.gradient(light, _STEP_PX, axis=1)
    steep = np.sqrt((slope**2).sum(axis=-1))
    k = np.arange(len(light))
    own_at = np.where(np.abs(depth) <= 1.0, steep, 0.0).argmax(axis=1)
    own = steep[k, own_at]
    back = np.einsum("ijk,ik->ij", slope, -slope[k, own_at]) > 0
    other = np.where(within & (depth >= _APART_PX), steep, 0.0)
    dip = np.where(within & back & (depth >= _DIP_PX) & (depth < _APART_PX), steep, 0.0)
    dip[dip.max(axis=1) < _LEAST_BACK * own] = 0.0
    other = np.maximum(other, dip)
    peak = other.argmax(axis=1)
    found = other[k, peak] > _LEAST * own
    found &= _shaded(light[k, np.searchsorted(depth, _BETWEEN * depth[peak])], light[:, 0])
    return np.where(found, depth[peak], 0.0)


def _second_tint(light: Floats, depth: Floats, *, within: Bools) -> Floats:
    """How far inwards the tint of light ``(n, k, c)`` steps behind what may be a shadow, ``(n,)``; 0 where it does not."""
    import cv2

    share = light / np.maximum(light.sum(axis=-1, keepdims=True), 1e-6)
    share = cv2.blur(share, (1, min(_TINT_STATIONS, len(share)))).reshape(share.shape)
    half = round(_TINT_PX / _STEP_PX)
    summed = np.pad(share, ((0, 0), (1, 0), (0, 0))).cumsum(axis=1)
    means = (summed[:, half:] - summed[:, :-half]) / half  # of the samples from each on
    step = np.zeros(light.shape[:2])
    step[:, half:-half] = np.abs(means[:, half:-1] - means[:, : -half - 1]).max(axis=-1)
    looked = within & (depth >= _APART_PX + _TINT_PX / 2)
    looked[:, :-half] &= within[:, half:]
    if not looked.any():
        return np.zeros(len(light))
    least = max(_LEAST_TINT, _ABOVE_USUAL * float(np.median(step[looked])))
    peak = np.where(looked, step, 0.0).argmax(axis=1)
    k = np.arange(len(light))
    found = looked[k, peak] & (step[k, peak] > least)
    found &= _shaded(light[k, np.searchsorted(depth, _BETWEEN * depth[peak])], light[:, 0])
    return np.where(found, depth[peak], 0.0)


def _inside(shape: tuple[int, ...], ring: Floats, at: Singles, depth: Floats) -> Bools:
    """Which places lie nearer to their own part of the edge than to others, ``(n, k)``."""
    import cv2

    far = sampled(cv2.distanceTransform(filled(ring, shape), cv2.DIST_L2, 3), at)
    return np.asarray(np.logical_and.accumulate((far > _INSIDE * depth - 1.5) | (depth <= 0), axis=1))


def _shaded(light: NDArray[Any], ground: NDArray[Any]) -> Bools:
    """Whether light ``(n, c)`` is the ground's, only less of it."""
    share = light.sum(axis=-1) / np.maximum(ground.sum(axis=-1), 1e-6)
    unlike = np.abs(
        light / np.maximum(light.sum(axis=-1), 1e-6)[:, None]
        - ground / np.maximum(ground.sum(axis=-1), 1e-6)[:, None]
    ).max(axis=-1)
    return np.asarray((share > _DARKER[0]) & (share < _DARKER[1]) & (unlike < _ALIKE))


def _even(away: Floats, *, half: int, by_px: float) -> Floats:
    """The distances, ``(n,)``, with those replaced by 0 that do not agree with their neighbours' along the edge."""
    half = min(half, len(away) // 2)
    rows = np.lib.stride_tricks.sliding_window_view(
        np.concatenate([away[-half:], away, away[:half]]), 2 * half + 1
    )
    middle = np.median(rows, axis=1)
    even = (np.abs(rows - middle[:, None]) < by_px).mean(axis=1) > 0.7
    return np.where(even & (middle > 0) & (np.abs(away - middle) < 2 * by_px), middle, 0.0)
