"""The hollow cut into a piece of paper: closed by its chord, or two of them joined into one section."""

from __future__ import annotations

from typing import Final

import numpy as np

from cradle.errors import CaptureError
from cradle.finding import Finding, Severity, in_mm
from cradle.geometry.arrays import Floats
from cradle.geometry.planar import hull_ring
from cradle.geometry.ring import counter_clockwise
from cradle.geometry.vectors import cross, left_of, unit

_EDGE_MM: Final = 0.25
"""Nearer than this to the chord, the edge is the paper's own and not the cut's."""
_WALL_MM: Final = 1.0
"""Depth over which a wall's direction at the mouth is taken: the paper's corner itself is never sharp."""
_LEAST_DEPTH_MM: Final = 2.0


def notch_of(ring: Floats, *, where: str) -> tuple[Floats, Floats]:
    """The deepest hollow of an outline as an open curve, levelled and where it lies, ``(m, 2)`` mm each.

    It runs from one end of its mouth to the other. Levelled, the mouth lies at
    y = 0 with the cut below it, from x = 0 to the right: counter-clockwise.

    Parameters
    ----------
    ring : (n, 2)
        Outline of the paper, mm.

    Raises
    ------
    CaptureError
        If no hollow is deeper than 2 mm.
    """
    ring = counter_clockwise(ring)
    hull = hull_ring(ring)
    on_hull = np.zeros(len(ring), dtype=bool)
    nearest = {(float(x), float(y)) for x, y in hull}
    on_hull[:] = [(float(x), float(y)) in nearest for x, y in ring]
    stops = np.flatnonzero(on_hull)
    best, deepest = None, _LEAST_DEPTH_MM
    for a, b in zip(stops, np.append(stops[1:], stops[0] + len(ring)), strict=True):
        if b - a < 4:
            continue
        run = ring[np.arange(a, b + 1) % len(ring)]
        depth = _depths(run)
        if depth.max() > deepest:
            best, deepest = (run, depth), float(depth.max())
    if best is None:
        raise CaptureError(
            f"the piece has no hollow deeper than {_LEAST_DEPTH_MM:g} mm",
            where=where,
            hint='say shape = "piece" if the paper itself has the shape of the section',
        )
    run, depth = _with_mouths(*best)
    deep = np.flatnonzero(depth > _EDGE_MM)
    first, last = max(1, int(deep[0])), min(len(run) - 2, int(deep[-1]))
    along = unit(run[-1] - run[0])
    inward = left_of(along)  # left of a counter-clockwise chord lies the paper
    start = _mouth(run[first : last + 1], depth[first : last + 1], run[0], along)
    end = _mouth(run[first : last + 1][::-1], depth[first : last + 1][::-1], run[0], along)
    cut = np.concatenate([[start], run[first : last + 1], [end]])
    # the outline runs with the paper on its left, so the cut is met from the right end of its mouth
    local = np.column_stack([(cut - end) @ -along, -((cut - end) @ inward)])
    local[[0, -1], 1] = 0.0
    return np.asarray(local[::-1]), np.asarray(cut[::-1])


def joined_notches(
    front: Floats, back: Floats, *, depth_mm: float, where: str
) -> tuple[Floats, tuple[Finding, ...]]:
    """One section from the notches of its front and its back, held ``depth_mm`` apart, ``(n, 2)`` mm.

    The middles of the two mouths are set in line; straight lines close the gap between them.

    Parameters
    ----------
    front, back : (m, 2)
        Levelled, as `notch_of` returns them, both seen from above the thing.
    depth_mm : float
        Measured from the deepest point of the one to that of the other.

    Raises
    ------
    CaptureError
        If the two notches together are deeper than that.
    """
    down, up = float(-front[:, 1].min()), float(-back[:, 1].min())
    gap = depth_mm - down - up
    if gap < -0.5:
        raise CaptureError(
            f"the cut-outs are {down:.2f} and {up:.2f} mm deep, together more than the depth of {depth_mm:g} mm",
            where=where,
            hint="make them less deep than half the thing, or check the depth",
        )
    half = max(gap, 0.0) / 2
    across = float(back[-1, 0] - back[0, 0])
    middle = float(front[[0, -1], 0].sum() - across) / 2
    lower = np.column_stack([front[:, 0], front[:, 1] - half])
    upper = np.column_stack([across - back[:, 0] + middle, half - back[:, 1]])  # turned by half a turn
    mouths = abs(abs(front[-1, 0] - front[0, 0]) - abs(back[-1, 0] - back[0, 0]))
    findings = (
        Finding(
            code="notches-joined",
            severity=Severity.WARN if gap > 0.25 * depth_mm or mouths > 1.0 else Severity.NOTE,
            message=f"front and back cut-outs joined at a depth of {depth_mm:g} mm by"
            f" straight lines {max(gap, 0.0):.2f} mm long; their widths differ by {mouths:.2f} mm",
            where=where,
            **in_mm(max(gap, 0.0)),
        ),
    )
    return np.concatenate([lower, upper]), findings


def _depths(run: Floats) -> Floats:
    """How far points lie inside the chord of the first and last, mm."""
    chord = run[-1] - run[0]
    return np.asarray(cross(chord, run - run[0]) / max(float(np.hypot(*chord)), 1e-12))


def _with_mouths(run: Floats, depth: Floats) -> tuple[Floats, Floats]:
    """A hollow and its depths with a point where it leaves its chord, on sides too straight to have one near there."""
    for _ in range(2):  # from one end, then from the other
        first = int(np.argmax(depth > _EDGE_MM))
        if first and depth[first] > _EDGE_MM + _WALL_MM:
            level = _EDGE_MM + 1e-6
            share = (level - depth[first - 1]) / (depth[first] - depth[first - 1])
            place = run[first - 1] + share * (run[first] - run[first - 1])
            run, depth = np.insert(run, first, place, axis=0), np.insert(depth, first, level)
        run, depth = run[::-1], depth[::-1]
    return run, depth


def _mouth(cut: Floats, depth: Floats, origin: Floats, along: Floats) -> Floats:
    """Where the cut, going on straight from its first mm, meets the chord."""
    deeper = int(np.argmax(depth > min(depth[0] + _WALL_MM, 0.9 * float(depth.max()))))
    step = cut[0] - cut[max(deeper, 1)]
    rise = float(depth[max(deeper, 1)] - depth[0])
    met = cut[0] + step * min(float(depth[0]) / rise, 1.0) if rise > 1e-9 else cut[0]
    return np.asarray(origin + along * float((met - origin) @ along))
