"""Ends of a drawn line that face one another over a faint place, joined.

An end is where the rim of a stroke turns back on itself within little more than the stroke's width
(a place on the rim, and two on either side of it along the rim, close to each other). Two ends are one line where
each points at the other: a person reads it so as well.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from cradle.geometry.arrays import Bytes, Floats, following
from cradle.geometry.vectors import unit

_WIDEST_GAP_MM: Final = 3.5
_FACING_DEG: Final = 35.0
"""How far an end may point past the other."""
_SHORTEST_MM: Final = 1.5
"""A shorter stroke is a dot, and has no ends."""
_ARM: Final = 3.0
"""Distance along the rim from a place to the two that are compared on either side, in widths."""
_TURNED: Final = 1.7
"""At an end these two are nearer to each other than this, in widths."""


@dataclass(frozen=True, slots=True, eq=False)
class _Ends:
    """Places of the ends of lines, px, the unit vectors in which they would go on, ``(n, 2)`` each, and their widths, ``(n,)``."""

    at: Floats
    ahead: Floats
    wide: Floats


def joined_ends(mask: Bytes, *, px_per_mm: float) -> Bytes:
    """The mask, ``(h, w)``, with strokes drawn between ends that face one another.

    Parameters
    ----------
    mask : (h, w)
        1 where lines run.
    """
    import cv2

    rims, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    long_ = [rim[:, 0].astype(np.float64) for rim in rims if len(rim) > 2 * _SHORTEST_MM * px_per_mm]
    if not long_:
        return mask
    found = [_ends(rim) for rim in long_]
    ends = _Ends(*(np.concatenate([getattr(e, name) for e in found]) for name in ("at", "ahead", "wide")))
    out = mask.copy()
    for a, b in _facing(ends, most_px=_WIDEST_GAP_MM * px_per_mm):
        wide = float(min(ends.wide[a], ends.wide[b]))
        start, stop = (np.rint(ends.at[k] - wide * ends.ahead[k]).astype(int).tolist() for k in (a, b))
        cv2.line(out, start, stop, 1, thickness=max(1, round(wide)))
    return out


def _ends(rim: Floats) -> _Ends:
    """Where the rim of a stroke turns back on itself; of a closed line, whose rim encloses all of it, nowhere."""
    x, y = rim.T
    wide = 1.0 + abs(float((x * following(y) - y * following(x)).sum())) / len(rim)
    arm = max(3, round(_ARM * wide))
    if len(rim) < 4 * arm:
        return _Ends(np.zeros((0, 2)), np.zeros((0, 2)), np.zeros(0))
    before, after = np.roll(rim, arm, axis=0), np.roll(rim, -arm, axis=0)
    apart = np.hypot(*(after - before).T)
    reach = np.hypot(*(rim - (before + after) / 2).T)
    score = np.where(reach > 0.6 * arm, apart, np.inf)
    at: list[Floats] = []
    ahead: list[Floats] = []
    while len(at) < 2 and float(score.min()) < _TURNED * wide + 1.0:
        nearest = int(score.argmin())
        near = (nearest + np.arange(-arm, arm + 1)) % len(rim)
        lowest = near[score[near] <= score[nearest] + 0.5]
        k = int(lowest[len(lowest) // 2])  # the middle of the turn
        way = rim[k] - (before[k] + after[k]) / 2
        at.append(rim[k])
        ahead.append(unit(way))
        score[(k + np.arange(-2 * arm, 2 * arm + 1)) % len(rim)] = np.inf
    return _Ends(np.reshape(at, (-1, 2)), np.reshape(ahead, (-1, 2)), np.full(len(at), wide))


def _facing(ends: _Ends, *, most_px: float) -> list[tuple[int, int]]:
    """Pairs of ends that point at one another, the nearest first, each end once."""
    step = ends.at[None] - ends.at[:, None]
    gap = np.hypot(step[..., 0], step[..., 1])
    aim = np.einsum("ijk,ik->ij", step, ends.ahead) / np.maximum(gap, 1e-9)
    facing = (np.minimum(aim, aim.T) > np.cos(np.radians(_FACING_DEG))) & (gap <= most_px) & (gap > 0)
    pairs: list[tuple[int, int]] = []
    taken: set[int] = set()
    for flat in np.argsort(np.where(facing, gap, np.inf), axis=None, kind="stable").tolist():
        a, b = divmod(flat, len(gap))
        if not facing[a, b]:
            break
        if a != b and not {a, b} & taken:
            pairs.append((a, b))
            taken |= {a, b}
    return pairs
