"""A traced edge without its noise: smooth between corners, few points, all within a stated tolerance."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Final

import numpy as np

from cradle.geometry.arrays import Floats, Ints
from cradle.geometry.planar import outer_rings, region, simplified
from cradle.geometry.ring import arc_positions, resample
from cradle.geometry.vectors import turn_rad

_REACH_MM: Final = 1.5
"""Length over which the edge is smoothed (a cubic is fitted to it)."""
WITHIN_MM: Final = 0.015
"""Largest distance between the smoothed edge and the polyline kept."""
_MOST_MM: Final = 0.15
"""No point is moved by more than this."""
_CORNER_DEG: Final = 28.0
_LOOK_MM: Final = 1.0
"""Length either side over which a corner's directions are taken."""

_NEAR_MM: Final = 0.25
"""How far from where it turns most a corner's tip is looked for."""


def smoothed(ring: Floats, *, grain_mm: float) -> Floats:
    """A closed edge smoothed between its corners, ``(m, 2)`` mm, evenly spaced.

    Savitzky & Golay, Analytical Chemistry 36 (1964) 1627: a local cubic.

    Parameters
    ----------
    ring : (n, 2)
        Dense, mm.
    grain_mm : float
        Length of a pixel.
    """
    step = _step_mm(grain_mm)
    even = _even(ring, step)
    half = _half_window(even, step)
    corners = corner_places(even, step_mm=step, look_mm=max(_LOOK_MM, 4 * grain_mm))
    if not len(corners):
        return _bounded(
            even, _cubic(np.concatenate([even[-half:], even, even[:half]]), 2 * half + 1)[half:-half]
        )
    even, corners = _at_tips(even, corners, ring, step_mm=step)
    turned = np.roll(even, -int(corners[0]), axis=0)
    turned = np.concatenate([turned, turned[:1]])
    cuts = [*(corners - corners[0]).tolist(), len(even)]
    return _bounded(turned, _between_corners(turned, cuts, window=2 * half + 1))[:-1]


def smoothed_path(path: Floats, *, grain_mm: float) -> Floats:
    """An open edge smoothed between its ends and corners, as `smoothed` does, ``(m, 2)`` mm, evenly spaced."""
    step = _step_mm(grain_mm)
    length = arc_positions(path)[:-1]
    at = np.linspace(0.0, length[-1], max(16, round(float(length[-1]) / step)) + 1)
    even = np.column_stack([np.interp(at, length, values) for values in path.T])
    corners = corner_places(even, step_mm=step, look_mm=max(_LOOK_MM, 4 * grain_mm))
    cuts = sorted({0, *corners.tolist(), len(even) - 1})
    return _bounded(even, _between_corners(even, cuts, window=2 * _half_window(even, step) + 1))


def fewer(ring: Floats) -> Floats:
    """A ring with fewer points, counter-clockwise, moved by at most ``WITHIN_MM``."""
    pieces = outer_rings(simplified(region(ring), within_mm=WITHIN_MM))
    return pieces[0] if pieces else ring


def corner_places(even: Floats, *, step_mm: float, look_mm: float) -> Ints:
    """The indices of corners of an evenly spaced closed curve, ``(k,)``.

    A corner turns by more than 28 degrees within a length that is short beside the look either way.
    """
    far = max(2, round(look_mm / step_mm))
    gap = max(1, far // 4)
    if len(even) < 4 * far:
        return np.zeros(0, dtype=np.int64)

    def heading(a: int, b: int) -> Floats:
        return np.roll(even, -b, axis=0) - np.roll(even, -a, axis=0)

    before, after = heading(-far, -gap), heading(gap, far)
    turn = np.degrees(np.abs(turn_rad(before, after)))
    best = np.ones(len(turn), dtype=bool)
    for shift in range(1, far + 1):
        best &= (turn >= np.roll(turn, shift)) & (turn > np.roll(turn, -shift))
    return np.flatnonzero(best & (turn > _CORNER_DEG))


def _at_tips(even: Floats, corners: Ints, ring: Floats, *, step_mm: float) -> tuple[Floats, Ints]:
    """Evenly spaced points with one at each corner moved onto its tip, and the indices of these.

    A tip is the point of the curve itself that lies furthest out. An even point hardly ever lies there, and the curve need
    not turn most there.
    """
    near, far = (max(2, round(length / step_mm)) for length in (_NEAR_MM, _LOOK_MM))
    moved, found = even.copy(), []
    for corner in corners.tolist():
        outward = 2 * even[corner] - even[corner - far] - even[(corner + far) % len(even)]
        own = np.arange(corner - near, corner + near + 1) % len(even)
        reach = float(np.hypot(*(even[own] - even[corner]).T).max())
        there = ring[np.hypot(*(ring - even[corner]).T) <= reach]
        tip = max([even[corner], *there], key=lambda point: float(point @ outward))
        index = int(own[np.hypot(*(even[own] - tip).T).argmin()])
        moved[index] = tip
        found.append(index)
    return moved, np.unique(found)


def _step_mm(grain_mm: float) -> float:
    return min(0.2, max(0.05, grain_mm))


def _half_window(even: Floats, step_mm: float) -> int:
    half = max(3, round(_REACH_MM / 2 / step_mm))
    return half if len(even) >= 6 * half else max(2, len(even) // 8)


def _between_corners(points: Floats, cuts: Sequence[int], *, window: int) -> Floats:
    """An open curve with each run between cuts smoothed, the cuts themselves kept."""
    out = points.copy()
    for low, high in pairwise(cuts):
        run = points[low : high + 1]
        odd = min(window, (len(run) - 1) // 2 * 2 + 1)
        if odd >= 5:
            out[low : high + 1] = _cubic(run, odd)
            out[[low, high]] = points[[low, high]]
    return out


def _bounded(points: Floats, wanted: Floats) -> Floats:
    """The points moved to where they are wanted, none by more than `_MOST_MM`."""
    moved = wanted - points
    far = np.hypot(*moved.T)
    return np.asarray(points + moved * np.minimum(1.0, _MOST_MM / np.maximum(far, 1e-12))[:, None])


def _cubic(run: Floats, window: int) -> Floats:
    """Middle values of cubics fitted to each ``window`` neighbours; near the ends, values of the last whole fit."""
    half = window // 2
    at = np.arange(-half, half + 1) / half
    basis = np.vander(at, 4, increasing=True)
    fit = np.linalg.pinv(basis)  # (terms, window)
    out = run.copy()
    for axis in (0, 1):
        out[half : len(run) - half, axis] = np.convolve(run[:, axis], fit[0, ::-1], mode="valid")
    out[:half] = basis[:half] @ (fit @ run[:window])
    out[len(run) - half :] = basis[half + 1 :] @ (fit @ run[-window:])
    return out


def _even(ring: Floats, step_mm: float) -> Floats:
    """The closed curve at equal distances along it."""
    return resample(ring, count=max(16, round(float(arc_positions(ring)[-1]) / step_mm)))
