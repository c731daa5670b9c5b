"""What runs up to a closed line and is none of it: arrows, dimension lines, words, an end that was drawn too far.

A line that closes lies between one inside and the outside, each of its places no further from either than it is wide.
What hangs on it reaches further; so do the line's own tips, by as much as the nook behind them is sharp.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.noun import noun

if TYPE_CHECKING:
    from cradle.geometry.arrays import Bools, Floats, Ints, Singles

_BEYOND: Final = 2.0
"""What reaches further than the line by more than this many of its widths is no part of it: a line drawn twice, or swollen at a
corner, reaches one."""
_CUT: Final = 1.2
"""It is cut off this many widths from the line's other side: a line's own width changes by a fifth as a hand presses."""
_NOOK: Final = (1.5, 4.0)
"""Two distances from a nook, in widths: how much lies beside the line within each tells how sharp the nook is."""
_UNSURE: Final = 0.5
"""How unsure the reach of a tip found so is, in widths."""
_ABOUT: Final = 1.1
"""OpenCV's distances are approximate; this many times one is no less than the true one."""
_SHARPEST: Final = 0.05
"""Half the angle of the sharpest tip that is drawn, in radians."""
_ANOTHER: Final = 4.0
"""Largest area that an arrow's head encloses, in squares of the line's width; more is another part of what was drawn."""
_BESIDE: Final = 1.5
"""Widths from the line within which another part of what was drawn lies along it."""
_ROOT: Final = 0.6
"""Distance from a cut, in widths, within which a stump of what was cut off still stands on the line."""


@noun
class PartedLine:
    """A closed line, ``(h, w)``, and the ``rest`` that hangs on it; the rest is empty where the line is open or has several insides beside it.

    ``across_px (h, w)`` is the distance from the line's other side wherever something hangs on it, else 0.
    """

    line: Bools
    rest: Bools
    across_px: Singles


def parted(own: Bools) -> PartedLine:
    """A line that closes and what hangs on it, apart.

    Parameters
    ----------
    own : (h, w)
        Where a line runs, with all that hangs together with it.
    """
    import cv2

    whole = PartedLine(line=own, rest=np.zeros_like(own), across_px=np.zeros(own.shape, np.float32))
    padded = np.pad(own, 1)
    count, parts, stats, _ = cv2.connectedComponentsWithStats((~padded).astype(np.uint8), connectivity=4)
    if count < 3:
        return whole
    outside = int(parts[0, 0])
    sizes = stats[:, cv2.CC_STAT_AREA].copy()
    sizes[[0, outside]] = 0
    inside = int(sizes.argmax())
    to_inside, to_outside = _away(parts == inside), _away(parts == outside)
    depth = cv2.distanceTransform(padded.astype(np.uint8), cv2.DIST_L2, 5)
    ridge = padded & (np.abs(to_inside - to_outside) <= 1.0)
    wide = 2.0 * float(np.median(depth[ridge])) if ridge.any() else 0.0
    if wide <= 0.0:
        return whole
    outer = _cut(padded, to_inside, wide)
    to_outside = _away((parts == outside) | (padded & ~outer))
    line = _cut(outer, to_outside, wide)
    near = _away(line) <= _BESIDE * wide
    sizes[inside] = 0
    if any(near[parts == k].any() for k in np.flatnonzero(sizes > _ANOTHER * wide**2)):
        return whole  # which of its insides is meant, nobody can tell
    across = np.zeros(padded.shape, np.float32)
    for cut, away in ((padded & ~outer, to_inside), (outer & ~line, to_outside)):
        if cut.any():
            across = np.where(_away(cut) <= _ROOT * wide, away, across)
    unpadded = (slice(1, -1), slice(1, -1))
    return PartedLine(line=line[unpadded], rest=(padded & ~line)[unpadded], across_px=across[unpadded])


def _away(place: Bools) -> Singles:
    """Distance of every pixel from a place, px."""
    import cv2

    return np.asarray(cv2.distanceTransform((~place).astype(np.uint8), cv2.DIST_L2, 5), dtype=np.float32)


def _cut(line: Bools, away: Singles, wide: float) -> Bools:
    """A line without what reaches further from one of its sides than the line does."""
    import cv2

    beyond = (line & (away > _CUT * wide)).astype(np.uint8)
    count, parts, stats, _ = cv2.connectedComponentsWithStats(beyond, connectivity=8)
    cut = line.copy()
    for k in range(1, count):
        x, y, w, h = stats[k, :4].tolist()
        box = (slice(y, y + h), slice(x, x + w))
        reach = np.where(parts[box] == k, away[box], 0.0)
        row, column = divmod(int(reach.argmax()), w)
        own = _tip_reach(away, (y + row, x + column), wide)
        if float(reach.max()) > own + _BEYOND * wide:
            cut[box] &= reach <= max(_CUT * wide, own - _UNSURE * wide)
    return cut


def _tip_reach(away: Singles, end: tuple[int, int], wide: float) -> float:
    """How far from one of its sides a line reaches that turns back there, px: as far as it is wide where it does not turn.

    The round end of a line of width w that turns back at an angle a lies w / 2 (1 / sin(a / 2) + 1) from where its two
    edges meet. Ink fills that nook: how fast the side grows wider from its nearest place tells both the angle and how far
    ahead of that place the edges would meet.

    Parameters
    ----------
    away : (h, w)
        From the side, px.
    end : (row, column)
        What of the line lies furthest from it.
    """
    rows, columns, off = _side_near(away, end, _ABOUT * float(away[end]) + 1.0)
    nook = int(off.argmin())
    near, far = (reach * wide for reach in _NOOK)
    _, _, off = _side_near(away, (int(rows[nook]), int(columns[nook])), far)
    # of a wedge of half angle a whose point lies q ahead, r from the nook hold the area a r (r + 2 q)
    within_near, within_far = float((off <= near).sum()) / near, len(off) / far
    half = float(np.clip((within_far - within_near) / (far - near), _SHARPEST, np.pi / 2))
    ahead = max(0.0, (within_far / half - far) / 2)
    return wide * (0.5 / float(np.sin(half)) + 0.5) + ahead


def _side_near(away: Singles, place: tuple[int, int], reach_px: float) -> tuple[Ints, Ints, Floats]:
    """Rows and columns of a line's side within a distance of a place, and how far each pixel lies from it, px."""
    first = np.maximum(np.array(place) - round(reach_px), 0)
    last = np.array(place) + round(reach_px) + 1
    rows, columns = np.nonzero(away[first[0] : last[0], first[1] : last[1]] == 0)
    rows, columns = rows + first[0], columns + first[1]
    off = np.hypot(rows - place[0], columns - place[1])
    near = off <= reach_px
    return rows[near], columns[near], off[near]
