"""A paper's own printed lines, taken out of what was drawn over them.

Lines of ruled or squared paper run across all of it, several side by side in
one direction, and are paler than a pencil's. They are found in a small copy;
along them only what is markedly darker than they are is left.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.geometry.vectors import cross, left_of, unit

if TYPE_CHECKING:
    from cradle.geometry.arrays import Bytes, Floats

_SMALL_PX: Final = 900
_LONG: Final = 0.45
"""Part of the picture's shorter side that a printed line covers at least."""
_GAP_MM: Final = 3.0
"""A line goes on across gaps no longer than this."""
_PARALLEL_DEG: Final = 2.0
_APART_MM: Final = 2.0
"""Parallel lines nearer to each other than this are one."""
_LEAST_LINES: Final = 5
_ALIKE: Final = 0.15
_MOSTLY: Final = 0.5
"""Parallel lines are a ruling if at least this part of their gaps differs from the median gap by less than ``_ALIKE`` of it: sides
of a drawing do not."""
_MISSED: Final = 0.4
"""A line of a ruling was missed where none was found within this part of the distance between lines."""
_STRIP_MM: Final = 0.6
"""Width of what may belong to a printed line."""
_SOUGHT_MM: Final = 0.7
"""How far from where the small copy shows it a line may lie."""
_STRETCHES: Final = 12
_DARKER: Final = 1.4
"""Times the darkness of a printed line from which on something is drawn over it."""
_MOST: Final = 400


def without_ruling(dark: Bytes, *, px_per_mm: float, least: float) -> Bytes:
    """The darkness of a picture without its paper's printed lines, ``(h, w)``; itself where there are none.

    Parameters
    ----------
    dark : (h, w) uint8
        How much darker each pixel is than the paper beside it.
    least : float
        Darkness of a line at least.
    """
    printed = np.zeros_like(dark)
    lines = [
        _settled(dark, rough, reach_px=_SOUGHT_MM * px_per_mm)
        for rough in _ruling(dark, px_per_mm=px_per_mm, least=least)
    ]
    usual = float(np.median([strength for _, strength in lines if strength > 0] or [0.0]))
    for line, strength in lines:
        own = _own_darkness(dark.shape, line, strength=strength or usual, wide_px=_STRIP_MM * px_per_mm)
        np.maximum(printed, own, out=printed)
    return np.where(dark > printed, dark, np.uint8(0)) if printed.any() else dark


def without_line(dark: Bytes, line: Floats, *, strength: float, wide_px: float) -> Bytes:
    """The darkness of a picture without a straight line, ``(h, w)``: what is markedly darker than ``strength`` stays.

    Parameters
    ----------
    line : (2, 2)
        Its ends, px.
    """
    own = _own_darkness(dark.shape, line, strength=strength, wide_px=wide_px)
    return np.where(dark > own, dark, np.uint8(0))


def _own_darkness(shape: tuple[int, ...], line: Floats, *, strength: float, wide_px: float) -> Bytes:
    """How dark pixels are at most where there is a straight line and nothing over it, ``(h, w)``."""
    import cv2

    strip = np.zeros(shape, np.uint8)
    one, other = np.rint(line).astype(int).tolist()
    cv2.line(strip, one, other, 255, max(3, round(wide_px)))
    return np.minimum(strip, np.uint8(min(_DARKER * strength, 255.0)))


def _ruling(dark: Bytes, *, px_per_mm: float, least: float) -> Floats:
    """Ends of the printed lines, carried on across the picture, ``(k, 2, 2)`` px."""
    import cv2

    times = max(1, round(max(dark.shape) / _SMALL_PX))
    small = cv2.dilate(dark, np.ones((times, times), np.uint8))[::times, ::times] > least
    shorter = min(small.shape)
    found = cv2.HoughLinesP(
        small.astype(np.uint8),
        1.0,
        np.pi / 360,
        round(0.6 * _LONG * shorter),
        minLineLength=round(_LONG * shorter),
        maxLineGap=max(1, round(_GAP_MM * px_per_mm / times)),
    )
    if found is None or len(found) < _LEAST_LINES:
        return np.zeros((0, 2, 2))
    ends = found.reshape(-1, 2, 2)[:_MOST].astype(np.float64) * times
    ahead = unit(ends[:, 1] - ends[:, 0])
    kept = [k for k in range(len(ends)) if _is_ruling(_beside(ends, ahead, k), px_per_mm)]
    if not kept:
        return np.zeros((0, 2, 2))
    starts, ahead = ends[kept, 0], ahead[kept]
    starts, ahead = (
        np.concatenate([own, more])
        for own, more in zip((starts, ahead), _missed(starts, ahead, dark.shape, px_per_mm), strict=True)
    )
    far = float(np.hypot(*dark.shape))
    return np.stack([starts - far * ahead, starts + far * ahead], axis=1)


def _missed(starts: Floats, ahead: Floats, shape: tuple[int, ...], px_per_mm: float) -> tuple[Floats, Floats]:
    """The lines of a ruling that were missed because a rule or a drawing lies over most of them: a place on each, and its direction."""
    h, w = shape
    corners = np.array([(0.0, 0.0), (w, 0.0), (w, h), (0.0, h)])
    places, ways = [np.zeros((0, 2))], [np.zeros((0, 2))]
    rest = np.ones(len(starts), dtype=bool)
    while rest.any():
        own = rest & (np.abs(cross(ahead, ahead[rest][0])) < np.sin(np.radians(_PARALLEL_DEG)))
        rest &= ~own
        way = unit(np.median(ahead[own] * np.sign(ahead[own] @ ahead[own][0])[:, None], axis=0))
        away = np.sort((starts[own] - starts[own][0]) @ left_of(way))
        line = np.split(away, np.flatnonzero(np.diff(away) > _APART_MM * px_per_mm) + 1)
        middle = np.array([part.mean() for part in line])
        if len(middle) < 2:
            continue
        usual = float(np.median(np.diff(middle)))
        number = np.rint((middle - middle[0]) / usual)
        step, first = np.polyfit(number, middle, 1)
        reach = ((corners - starts[own][0]) @ left_of(way) - first) / step
        asked = np.arange(np.ceil(reach.min()), np.floor(reach.max()) + 1)
        asked = first + step * asked
        asked = asked[np.abs(asked[:, None] - middle).min(axis=1) > _MISSED * abs(step)]
        places.append(starts[own][0] + asked[:, None] * left_of(way))
        ways.append(np.tile(way, (len(asked), 1)))
    return np.concatenate(places), np.concatenate(ways)


def _beside(ends: Floats, ahead: Floats, k: int) -> Floats:
    """The signed distances from the k-th line of all lines parallel to it, rising, px."""
    alike = np.abs(cross(ahead, ahead[k])) < np.sin(np.radians(_PARALLEL_DEG))
    away = (ends[alike].mean(axis=1) - ends[k, 0]) @ left_of(ahead[k])
    return np.asarray(np.sort(away))


def _is_ruling(away: Floats, px_per_mm: float) -> bool:
    """Whether parallel lines at these distances are a paper's ruling: many, and evenly spaced."""
    breaks = np.flatnonzero(np.diff(away) > _APART_MM * px_per_mm) + 1
    gaps = np.diff([part.mean() for part in np.split(away, breaks)])
    if len(gaps) + 1 < _LEAST_LINES:
        return False
    usual = float(np.median(gaps))
    return bool((np.abs(gaps - usual) < _ALIKE * usual).mean() >= _MOSTLY)


def _settled(dark: Bytes, line: Floats, *, reach_px: float) -> tuple[Floats, float]:
    """The line where it is darkest near by, ``(2, 2)`` px, and how dark it is there."""
    h, w = dark.shape
    step = line[1] - line[0]
    length = float(np.hypot(*step))
    across = left_of(step) / length
    part = np.linspace(0.0, 1.0, round(length))
    x, y = (line[0] + part[:, None] * step).T
    part = part[(x > reach_px) & (y > reach_px) & (x < w - 1 - reach_px) & (y < h - 1 - reach_px)]
    if len(part) < 2 * _STRETCHES:
        return line, 0.0
    offsets = np.arange(-round(reach_px), round(reach_px) + 1)
    at = line[0] + part[:, None, None] * step + offsets[:, None] * across
    seen = dark[np.rint(at[..., 1]).astype(np.int64), np.rint(at[..., 0]).astype(np.int64)]
    stretches = np.array_split(np.arange(len(part)), _STRETCHES)
    ridge = np.array([np.median(seen[k].astype(np.float64), axis=0) for k in stretches])
    best = offsets[ridge.argmax(axis=1)].astype(np.float64)
    clear = ridge.max(axis=1) > 0
    if clear.sum() < 2:
        return line, 0.0
    middle = np.array([part[k].mean() for k in stretches])
    slope, start = np.polyfit(middle[clear], best[clear], 1)
    off = np.abs(best - start - slope * middle)
    keep = clear & (off <= max(1.0, float(np.median(off[clear]))))
    slope, start = np.polyfit(middle[keep], best[keep], 1)
    moved = line + np.array([[start], [start + slope]]) * across
    return moved, float(np.median(ridge.max(axis=1)[clear]))
