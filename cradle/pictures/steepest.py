"""An edge moved to where the picture's levels change most steeply.

The level half way between piece and ground lies on a cut edge only where both
are even up to it. A shadow falls off slowly, the edge it lies at is a step: the
steepest place is the edge, whatever the shadow does to the half-way level. Along
the edge the steepest places are joined by dynamic programming, so that one bad
place does not lead the rest astray (Amini, Weymouth & Jain, "Using dynamic
programming for solving variational problems in vision", IEEE PAMI 12(9), 1990;
from memory).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.peak import peak_shift
from cradle.geometry.ring import arc_positions, resample, signed_area
from cradle.geometry.vectors import left_of, unit
from cradle.noun import noun
from cradle.pictures.sampled import sampled

if TYPE_CHECKING:
    from cradle.geometry.arrays import Bools, Ints, Singles

_STEP_PX: Final = 0.5
_MOST_STATIONS: Final = 1400
_NEAR: Final = 0.15
"""A step at the end of the reach counts for less, by this part, than one on the level line."""
_REVERSED: Final = 0.95
"""What a step the wrong way round counts for: a deep shadow may be darker than the piece beside it."""
_BEND: Final = 0.35
"""Cost of a jump by one step between neighbours, in typical slopes."""
_SMOOTH_PX: Final = 6.0
"""Offsets are averaged over this along the edge."""
_CORNER_DEG: Final = 25.0
_RIVAL: Final = 0.6
"""A second step at least this steep leaves open which of the two is the edge."""
_RUN_PX: Final = 10.0
"""A shadow's rim or a second edge runs along the first for this far to either side; noise does not."""
_SIGMA: Final = 1.0 / np.sqrt(2.0 * np.pi)
"""Standard deviation of a step's blur, where its height divided by its greatest slope is 1."""
WIDTH: Final = 2.563
"""Width of a blurred step from 10 to 90 %, in standard deviations of its blur."""


@noun
class SteepestEdge:
    """An edge on its steepest places.

    Attributes
    ----------
    ring_px : (n, 2) float64
    width_px : (n,) float64
        Of the step there, 10 to 90 %.
    unsure_px : (n,) float64
        Standard uncertainty of each point's place, square to the edge.
    """

    ring_px: Floats
    width_px: Floats
    unsure_px: Floats


def steepest(field: Singles, ring_px: Floats, *, reach_px: float, look_px: float) -> SteepestEdge:
    """The edge near ``ring_px`` at which a field steps most steeply from the piece to the ground.

    Parameters
    ----------
    field : (h, w)
        1 on the piece, 0 on the ground.
    ring_px : (n, 2)
        Closed, dense, nowhere further than ``reach_px`` from the edge.
    reach_px : float
        How far to look for it to either side.
    look_px : float
        How far from it, to either side, a step's width is measured.
    """
    ring, spacing = _even(ring_px)
    normal = outward(ring, reach=max(1, round(2.5 / spacing)))
    half_px = min(field.shape) / 2  # a scale that is far off asks for more than there is
    reach_px, look_px = (_STEP_PX * round(min(length, half_px) / _STEP_PX) for length in (reach_px, look_px))
    steps = round(reach_px / _STEP_PX)  # whole ones: a hair more of reach must not move an edge
    offsets = np.arange(-steps, steps + 1, dtype=np.float64) * _STEP_PX
    at = ring[:, None] + offsets[:, None] * normal[:, None]
    levels = sampled(field, at).astype(np.float64)
    levels = _along(levels, max(1, round(1.5 / spacing)))
    slope = np.asarray(-np.gradient(levels, _STEP_PX, axis=1), dtype=np.float64)
    step = without_even_fall(slope, half=max(1, round(look_px / _STEP_PX)))
    either = np.maximum(step, -_REVERSED * step)
    typical = max(float(np.median(either.max(axis=1))), 1e-6)
    worth = np.clip(either / typical, 0.0, 1.5) * (1 - _NEAR * (offsets / reach_px) ** 2)
    path = _best_path(worth)
    station = np.arange(len(ring))
    peak = np.clip(path, 1, len(offsets) - 2)
    steepness = (np.abs(slope[station, peak + d]) for d in (-1, 0, 1))
    shift = offsets[peak] + _STEP_PX * peak_shift(*steepness)
    width = _widths(levels, slope, station, peak, min(look_px, reach_px))
    corner = _corners(normal, spacing)
    straight = (~corner).astype(np.float64)
    smooth = _smoothed(shift, weight=straight, sigma=_SMOOTH_PX / spacing)
    rough = _smoothed((shift - smooth) ** 2, weight=straight, sigma=_SMOOTH_PX / spacing)
    moved = np.clip(smooth, -reach_px, reach_px)
    rough = np.sqrt(np.maximum(rough, 0.0) * spacing / (2 * _SMOOTH_PX))
    shared = _along(step, max(1, round(_RUN_PX / spacing)))
    rival = _rival(np.maximum(shared, -_REVERSED * shared), offsets, peak, station)
    unsure = np.hypot(rough, rival)
    beside = levels[station, np.minimum(peak + round(look_px / _STEP_PX), len(offsets) - 1)]
    shade = _smoothed(np.clip(np.abs(beside), 0.0, 1.0), weight=straight, sigma=_SMOOTH_PX / spacing)
    # a shadow that falls off within the blur moves the step by as much as this
    unsure = np.hypot(unsure, shade * width / WIDTH)
    return SteepestEdge(
        ring_px=frozen(ring + moved[:, None] * normal),
        width_px=frozen(width),
        unsure_px=frozen(unsure),
    )


def _even(ring: Floats) -> tuple[Floats, float]:
    """The ring at even distances of about a pixel, and that distance."""
    around = float(arc_positions(ring)[-1])
    count = int(np.clip(around, 16, max(_MOST_STATIONS, around / 2.0)))
    return resample(ring, count=count), around / count


def outward(ring: Floats, *, reach: int) -> Floats:
    """Unit normals away from the inside, ``(n, 2)``, square to the chords between the points ``reach`` before and after."""
    ahead = unit(np.roll(ring, -reach, axis=0) - np.roll(ring, reach, axis=0))
    return -left_of(ahead) * np.copysign(1.0, signed_area(ring))


def _along(levels: Floats, half: int) -> Floats:
    """Profiles averaged with ``half`` neighbours on either side along the edge; with all there are round a thing of a few pixels."""
    half = min(half, (len(levels) - 1) // 2)
    padded = np.concatenate([levels[-half:], levels, levels[:half]])
    summed = np.cumsum(np.concatenate([np.zeros((1, levels.shape[1])), padded]), axis=0)
    return np.asarray((summed[2 * half + 1 :] - summed[: -2 * half - 1]) / (2 * half + 1))


def without_even_fall(slope: Floats, *, half: int) -> Floats:
    """Slopes along profiles, ``(n, k)`` or ``(n, k, c)``, less their mean over ``half`` samples to either side: an even fall, as of a shadow, goes."""
    wide = 2 * half + 1
    beyond = [(0, 0), (half + 1, half), *[(0, 0)] * (slope.ndim - 2)]
    padded = np.pad(slope, beyond, mode="edge").cumsum(axis=1)
    return np.asarray(slope - (padded[:, wide:] - padded[:, :-wide]) / wide)


def _best_path(worth: Floats) -> Ints:
    """Index of the offset at each station on the closed path of most worth, ``(n,)``.

    The path starts where one step stands out most, and ends there.
    """
    count, wide = worth.shape
    start = int((worth.max(axis=1) - np.median(worth, axis=1)).argmax())
    turned = np.roll(worth, -start, axis=0)
    first = int(turned[0].argmax())
    total = np.full((count + 1, wide + 2), -np.inf)  # a column more on either side
    total[0, first + 1] = 0.0
    for k in range(1, count + 1):
        before, best = total[k - 1], total[k, 1:-1]
        np.maximum(before[:-2], before[2:], out=best)
        best -= _BEND
        np.maximum(best, before[1:-1], out=best)
        best += turned[k % count]
    path = [first]
    for before in total[count - 1 :: -1]:
        below, same, above = before[path[-1] : path[-1] + 3].tolist()
        straight = same >= max(below, above) - _BEND
        path.append(path[-1] + (0 if straight else -1 if below >= above else 1))
    return np.roll(np.array(path[:0:-1], dtype=np.int64), start)


def _widths(levels: Floats, slope: Floats, station: Ints, peak: Ints, half_px: float) -> Floats:
    """Width of the step at each station from its greatest slope and how far it falls nearby, px.

    What falls evenly, as a shadow does, comes out as wide as the look, twice ``half_px``.
    """
    half = round(half_px / _STEP_PX)
    last = levels.shape[1] - 1
    fall = levels[station, np.maximum(peak - half, 0)] - levels[station, np.minimum(peak + half, last)]
    there = slope[station, peak]
    width = WIDTH * _SIGMA * np.divide(fall, there, out=np.full(len(peak), np.inf), where=fall * there > 0)
    return np.asarray(np.clip(width, 0.0, 2 * half_px))


def _corners(normal: Floats, spacing: float) -> Bools:
    """Where the edge turns too sharply for a normal to mean anything, ``(n,)`` bool."""
    reach = max(1, round(6.0 / spacing))
    turn = (np.roll(normal, reach, axis=0) * np.roll(normal, -reach, axis=0)).sum(axis=1)
    sharp = turn < np.cos(np.radians(_CORNER_DEG))
    return sharp if not sharp.all() else np.zeros(len(normal), dtype=bool)


def _smoothed(values: Floats, *, weight: Floats, sigma: float) -> Floats:
    """Weighted averages along a closed curve, ``(n,)``; a value of no weight is replaced by its neighbours'."""
    count = len(values)
    frequency = np.fft.rfftfreq(count) * 2 * np.pi * min(sigma, count / 8)
    kernel = np.exp(-0.5 * frequency**2)

    def blurred(each: Floats) -> Floats:
        return np.asarray(np.fft.irfft(np.fft.rfft(each) * kernel, n=count))

    return blurred(values * weight) / blurred(weight).clip(1e-3)


def _rival(slope: Floats, offsets: Floats, peak: Ints, station: Ints) -> Floats:
    """What a second step of much the same steepness adds to the uncertainty, px, ``(n,)``: a third of their distance."""
    own = slope[station, peak]
    far = np.abs(offsets - offsets[peak][:, None]) > 3.0
    other = np.where(far, slope, 0.0)
    best = other.argmax(axis=1)
    share = np.clip((other[station, best] / np.maximum(own, 1e-9) - _RIVAL) / (1 - _RIVAL), 0.0, 1.0)
    return np.asarray(share * np.abs(offsets[best] - offsets[peak]) / 3.0)
