"""Four straight lines in a picture that may be a card's sides, where the card does not stand out from the ground as a whole.

A pale card parts from white paper by a thin line only, and newsprint's letters grow together with what lies on them.
Its sides are long and straight all the same, as no row of letters is once what is small has been taken away.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.cards.card_outline import PROPORTIONS
from cradle.geometry.arrays import Bools, Bytes, Floats, frozen
from cradle.geometry.vectors import cross, left_of, unit
from cradle.pictures.masks import grown_by
from cradle.pictures.sampled import nearest

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cradle.pictures.regions import Regions

_LETTER_PX: Final = 9
"""Size of the median filter, small px: what is not half as wide is taken away."""
_LEAST_STEP: Final = 6.0
"""Least gradient at a side, levels a small px; Sobel's values are four times as large."""
_USUAL: Final = 0.9
"""A side's gradient is at least twice this quantile of the picture's."""
_SIDE_PX: Final = 20
_GAP_PX: Final = 5
_MOST_LINES: Final = 30
_SAME_PX: Final = 2.0
_ROUNDS: Final = 3
_BEYOND: Final = 0.75
"""A piece of line is followed this far from its middle to either side, as part of its length."""
_APART_PX: Final = 12.0
_PARALLEL_DEG: Final = 20.0
_SQUARE_DEG: Final = 35.0
"""How far the view may turn parallel sides, and sides square to each other, out of that."""
_ALONG: Final = frozen(np.linspace(0.12, 0.88, 24))
_BEFORE: Final = frozen(np.linspace(-0.2, -0.03, 8))
_AFTER: Final = frozen(np.linspace(1.03, 1.2, 8))
"""Where a side is looked at, as parts of its length: along it, and beyond its ends, where a card's stops and a check's goes on."""
_COVERED: Final = 0.5
"""Least part of each side along which the picture must step."""
_MOST_QUADS: Final = 10


def straight_sided(things: Regions) -> Iterator[Floats]:
    """Four corners ``(4, 2)`` px each of what straight lines enclose in about a card's proportions, the surest first."""
    import cv2

    steps = _steps(np.atleast_3d(cv2.medianBlur(things.levels, _LETTER_PX)))
    found = cv2.HoughLinesP(steps, 1, np.pi / 180, _SIDE_PX, minLineLength=_SIDE_PX, maxLineGap=_GAP_PX)
    if found is None:
        return
    seen = np.argwhere(steps > 0)[:, ::-1].astype(np.float64)
    pieces = np.asarray(found, dtype=np.float64).reshape(-1, 2, 2)
    quads = _oblong(np.array([_through(seen, ends) for ends in _distinct(pieces)]), steps.shape)
    ahead = np.roll(quads, -1, axis=1) - quads
    near = grown_by(steps, 1) > 0
    covered, before, after = (_stepping(near, quads, ahead, part) for part in (_ALONG, _BEFORE, _AFTER))
    least, going_on = covered.min(axis=1), np.maximum(before, after).mean(axis=1)
    long = np.hypot(ahead[..., 0], ahead[..., 1]).sum(axis=1)
    worth = np.where(least > _COVERED, least * (1 - going_on) * long, 0.0)
    tried: list[Floats] = []
    for k in np.argsort(-worth, kind="stable"):
        if worth[k] == 0.0 or len(tried) == _MOST_QUADS:
            return
        if not any(np.abs(quads[k] - other).max() < 2 * _SAME_PX for other in tried):
            tried.append(quads[k])
            yield frozen(things.in_picture(quads[k]))


def _stepping(near: Bools, corners: Floats, ahead: Floats, along: Floats) -> Floats:
    """The part of the places along each side at which the picture steps, ``(q, 4)``; 0 is one corner, 1 the next."""
    at = corners[:, :, None] + along[:, None] * ahead[:, :, None]  # (q, 4, k, 2)
    return np.asarray(nearest(near, at).mean(axis=2))


def _steps(levels: Bytes) -> Bytes:
    """Where the levels of a picture step more than they usually do, in whichever channel steps most, ``(h, w)`` 0 or 255."""
    import cv2

    x, y = (
        np.stack([cv2.Sobel(channel, cv2.CV_16S, *way) for channel in np.moveaxis(levels, -1, 0)])
        for way in ((1, 0), (0, 1))
    )
    size = np.hypot(x.astype(np.float32), y.astype(np.float32))
    most = size.argmax(axis=0)[None]
    x, y = (np.ascontiguousarray(np.take_along_axis(part, most, axis=0)[0]) for part in (x, y))
    least = max(4 * _LEAST_STEP, 2 * float(np.quantile(size.max(axis=0), _USUAL)))
    return np.asarray(cv2.Canny(x, y, least / 2, least, L2gradient=True))


def _distinct(ends: Floats) -> Floats:
    """The longest pieces of line ``(n, 2, 2)``, one of each line."""
    ahead = ends[:, 1] - ends[:, 0]
    length = np.hypot(*ahead.T)
    kept: list[int] = []
    for k in np.argsort(-length, kind="stable"):
        off = ends[k] - ends[kept, :1]  # (m, 2, 2)
        away = np.abs(cross(off, ahead[kept, None]))
        if (away.max(axis=1) > _SAME_PX * length[kept]).all():
            kept.append(int(k))
        if len(kept) == _MOST_LINES:
            break
    return ends[kept]


def _through(seen: Floats, ends: Floats) -> Floats:
    """Ends ``(2, 2)`` of the straight line through the places ``(n, 2)`` near a piece of line, and beyond its ends."""
    for _ in range(_ROUNDS):
        middle, ahead = ends.mean(axis=0), ends[1] - ends[0]
        length = float(np.hypot(*ahead))
        off = seen - middle
        along, away = off @ ahead / length, off @ left_of(ahead) / length
        near = (np.abs(along) < _BEYOND * length) & (np.abs(away) < _SAME_PX)
        if near.sum() < 3:
            break
        place = seen[near].mean(axis=0)
        ahead = np.linalg.svd(seen[near] - place, full_matrices=False)[2][0]
        ends = place + np.outer([-length / 2, length / 2], ahead)
    return ends


def _oblong(ends: Floats, size: tuple[int, ...]) -> Floats:
    """Corners ``(q, 4, 2)``, in order round, of what two pairs of opposite lines enclose in a card's proportions."""
    ahead = unit(ends[:, 1] - ends[:, 0])
    normal = left_of(ahead)
    lines = np.column_stack([normal, -(normal * ends[:, 0]).sum(axis=1)])
    i, j = np.triu_indices(len(ends), 1)
    away = np.abs((normal[i] * (ends[j].mean(axis=1) - ends[i, 0])).sum(axis=1))
    opposite = (np.abs((ahead[i] * ahead[j]).sum(axis=1)) > np.cos(np.radians(_PARALLEL_DEG))) & (
        away > _APART_PX
    )
    i, j = i[opposite], j[opposite]
    p, q = np.triu_indices(len(i), 1)
    square = np.abs((ahead[i[p]] * ahead[i[q]]).sum(axis=1)) < np.sin(np.radians(_SQUARE_DEG))
    p, q = p[square], q[square]
    round_it = [(i[p], i[q]), (i[q], j[p]), (j[p], j[q]), (j[q], i[p])]
    met = np.stack([np.cross(lines[a], lines[b]) for a, b in round_it], axis=1)
    quads = met[..., :2] / np.where(np.abs(met[..., 2:]) < 1e-9, 1e-9, met[..., 2:])
    high, wide = size
    inside = ((quads >= 0) & (quads <= [wide - 1, high - 1])).all(axis=(1, 2))
    sides = np.hypot(*np.moveaxis(np.roll(quads, -1, axis=1) - quads, -1, 0))
    one, other = sides[:, 0] + sides[:, 2], sides[:, 1] + sides[:, 3]
    ratio = np.minimum(one, other) / np.maximum(one, other)
    return np.asarray(quads[inside & (ratio > PROPORTIONS[0]) & (ratio < PROPORTIONS[1])])
