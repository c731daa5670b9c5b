"""Stretches of an edge that cannot be seen, because straight lines of the piece's own colour run into it, bridged.

The lines are found where they are seen, on the ground beside the piece, and
carried on as straight as they are. What of the edge lies on one is left out,
and the edge before and behind it is carried on by a parabola.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.geometry.vectors import left_of, unit

if TYPE_CHECKING:
    from cradle.geometry.arrays import Bools, Floats

_LONG_PX: Final = 24
"""Shortest stretch of a line that tells its direction."""
_MOST: Final = 0.08
"""Greatest part of the edge that is bridged at once: a side that lies along a line stays as it is seen."""
_LEAST_RUN: Final = 12
"""Fewest points that a bridge rests on, and that are looked at on either side."""


def strips(lines: Bools, *, wide_px: float) -> Bools:
    """Where straight lines run, carried on to the ends of the picture, ``(h, w)`` bool.

    Parameters
    ----------
    lines : (h, w) bool
        Where they are seen.
    wide_px : float
        How wide to draw them.
    """
    import cv2

    height, width = lines.shape
    found = cv2.HoughLinesP(
        lines.astype(np.uint8), 0.5, np.pi / 720, _LONG_PX, minLineLength=_LONG_PX, maxLineGap=6
    )
    out = np.zeros((height, width), dtype=np.uint8)
    for x0, y0, x1, y1 in [] if found is None else found.reshape(-1, 4).tolist():
        step = np.array([x1 - x0, y1 - y0], dtype=np.float64)
        length = float(np.hypot(*step))
        ahead = step / length * min(2.5 * length, float(height + width))
        a, b = (
            np.rint(np.array(p) + d).astype(int).tolist() for p, d in (((x0, y0), -ahead), ((x1, y1), ahead))
        )
        cv2.line(out, a, b, 1, thickness=max(1, round(wide_px)))
    return out > 0


def bridged(ring: Floats, hidden: Bools, *, most_px: float) -> tuple[Floats, int]:
    """A closed edge whose hidden stretches follow the edge on both sides of them, ``(m, 2)`` px, and how many could not.

    Parameters
    ----------
    ring : (n, 2)
        Dense.
    hidden : (n,) bool
        Which points are not to be believed.
    most_px : float
        A line hides no more of an edge than its own width; a bridge further from what is seen
        cuts a corner, and is left out.
    """
    count = len(ring)
    if not hidden.any() or hidden.all():
        return ring, int(hidden.all())
    start = int(np.flatnonzero(~hidden)[0])
    ring, hidden = np.roll(ring, -start, axis=0), np.roll(hidden, -start)
    edges = np.flatnonzero(np.diff(np.concatenate([[0], hidden.astype(int), [0]])))
    out: list[Floats] = []
    last, left = 0, 0
    for low, high in edges.reshape(-1, 2).tolist():
        run = max(_LEAST_RUN, high - low)
        before = np.arange(low - run, low) % count
        after = np.arange(high, high + run) % count
        seen = np.concatenate([before[~hidden[before]], after[~hidden[after]]])
        bridge = None
        if high - low <= _MOST * count and len(seen) >= _LEAST_RUN:
            ends = ring[low - 1], ring[high % count]
            bridge = _bridge(ring[seen], ring[low:high], ends, most_px=most_px)
        out += [ring[last:low], ring[low:high] if bridge is None else bridge]
        last = high
        left += bridge is None
    out.append(ring[last:])
    return np.concatenate(out), left


def _bridge(seen: Floats, hidden: Floats, ends: tuple[Floats, Floats], *, most_px: float) -> Floats | None:
    """A parabola through what is seen in place of what is hidden between two points; None where it strays too far from that."""
    first, final = ends
    ahead = unit(final - first)
    frame = np.array([ahead, left_of(ahead)])
    x, y = ((seen - first) @ frame.T).T
    curve = np.polynomial.Polynomial(np.polynomial.polynomial.polyfit(x, y, 2))
    x, y = ((hidden - first) @ frame.T).T
    if np.abs(curve(x) - y).max() > most_px:
        return None
    x = np.linspace(0.0, float(np.hypot(*(final - first))), len(hidden) + 2)[1:-1]
    return np.asarray(first + np.column_stack([x, curve(x)]) @ frame)
