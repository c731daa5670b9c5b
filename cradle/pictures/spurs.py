"""What runs up to a closed line and is none of it: arrows, dimension lines, words, an end that was drawn too far.

A line that closes lies between one inside and the outside, each of its places no further from either than it is wide.
What hangs on it reaches further.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.noun import noun

if TYPE_CHECKING:
    from cradle.geometry.arrays import Bools, Singles

_FAR: Final = 3.0
"""Widths of the line from its other side that something reaches where it is none of it: a line drawn twice, or swollen at a
corner, reaches two."""
_CUT: Final = 1.2
"""Widths from there at which it is cut off: a line's own width changes by a fifth as a hand presses."""
_ANOTHER: Final = 4.0
"""Squares of the line's width that an arrow's head encloses at most; more is another part of what was drawn."""
_BESIDE: Final = 1.5
"""Widths from the line within which another part of what was drawn lies along it."""
_ROOT: Final = 0.6
"""Widths from where it is cut off within which what is left of it stands on the line."""


@noun
class PartedLine:
    """What is a closed line, ``(h, w)``, and what hangs on it; nothing where no inside is the only one beside it.

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
    """A line without what reaches far from one of its sides."""
    import cv2

    _, parts = cv2.connectedComponents((line & (away > _CUT * wide)).astype(np.uint8), connectivity=8)
    far = np.unique(parts[line & (away > _FAR * wide)])
    return np.asarray(line & ~np.isin(parts, far[far > 0]))
