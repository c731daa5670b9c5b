"""A strip of the picture along a candidate line, straightened so that a rule's marks stand upright."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from cradle.geometry.arrays import Bytes, Floats, Ints, Singles
from cradle.geometry.vectors import left_of
from cradle.noun import noun

if TYPE_CHECKING:
    from cradle.rulers.ruler_find import MarkLine

_TALLEST: Final = 11.0
"""How far to either side marks are looked for, in waves."""
_ROUGH_PX: Final = 2.0
"""How far apart columns of a strip may lie while its row of marks is looked for."""
_UPRIGHT: Final = 0.01
_MOST_SKEW: Final = 0.4
"""Skews up to the first are a flatbed's noise; in a view with more than the second nothing else could be read."""
_PARALLEL: Final = 0.03
"""Marks whose skews differ by no more along the line are parallel."""
_STRONG: Final = 0.2
"""Chunks of a line in which its wave has less than this part of its usual strength show no marks."""
_LEAST_CHUNKS: Final = 4
ROW_WAVES: Final = 4.0
"""About as tall as a row of marks, in waves: on a rule in mm they are 3 to 6 mm long (common practice, no source)."""
_NEARLY: Final = 0.6
"""Another row of the same rule holds at least this part of what the strongest holds."""
_SLOPES: Final = np.array(sorted(np.linspace(-0.1, 0.1, 41), key=abs))
"""Slopes across a strip that are tried, the least first."""


@noun
class Strip:
    """The picture along a line: ``levels (v, t)``; column i is ``start + i * step`` px along, row j ``low + j * rise`` across."""

    levels: Singles
    flat: Singles
    origin: Floats
    ahead: Floats
    across: Floats
    start: float
    step: float
    low: float
    rise: float


def rough_strip(grey: Bytes, line: MarkLine) -> Strip:
    """The strip of a picture along a candidate line, fine enough to find its row of marks."""
    import cv2

    size_px = (min(_ROUGH_PX, line.wave_px / 8), max(0.35, line.wave_px / 6))
    return _strip(grey, line, skew=0.0, size_px=size_px, between=cv2.INTER_LINEAR)


def fine_strip(grey: Bytes, line: MarkLine, *, skew: float) -> Strip:
    """The strip of a picture along a row of marks, fine enough to place them.

    ``skew`` is how far marks run along the line for each pixel across it, as an oblique view shows them.
    """
    import cv2

    size_px = (min(1.0, line.wave_px / 8), max(0.35, line.wave_px / 12))
    return _strip(grey, line, skew=skew, size_px=size_px, between=cv2.INTER_CUBIC)


def _strip(grey: Bytes, line: MarkLine, *, skew: float, size_px: tuple[float, float], between: int) -> Strip:
    """The strip of a picture along a line; ``size_px`` is the distance between its columns and between its rows, ``between`` OpenCV's interpolation."""
    import cv2

    origin, ahead = np.array(line.centre_px), np.array(line.ahead)
    across = left_of(ahead) + skew * ahead
    step, rise = size_px
    beyond, tall = _margins(line)
    start, stop = line.reach_px[0] - beyond, line.reach_px[1] + beyond
    columns, rows = int((stop - start) / step) + 1, int(2 * tall / rise) + 1
    corner = origin + ahead * start - across * tall
    matrix = np.column_stack([ahead * step, across * rise, corner])
    levels = cv2.warpAffine(
        grey,
        matrix,
        (columns, rows),
        flags=between | cv2.WARP_INVERSE_MAP,
        borderMode=cv2.BORDER_REPLICATE,
    ).astype(np.float32)
    wide = max(3, round(3 * line.wave_px / step))
    flat = levels - cv2.blur(levels, (wide, 1))
    return Strip(
        levels=levels,
        flat=flat,
        origin=origin,
        ahead=ahead,
        across=across,
        start=start,
        step=step,
        low=-tall,
        rise=rise,
    )


def part_along(grey: Bytes, line: MarkLine, *, times: int) -> tuple[int, int, Bytes]:
    """The part of a picture that strips along a line show, and its left and upper edge, px: multiples of ``times``."""
    beyond, tall = _margins(line)
    low, high = line.reach_px
    along, across = np.array(line.ahead), left_of(np.array(line.ahead))
    reach = 2 * tall  # the row may lie at the strip's edge, and be followed there
    ends = [low - beyond, high + beyond]
    corners = np.array([line.centre_px + s * along + t * across for s in ends for t in (-reach, reach)])
    size = np.array([grey.shape[1], grey.shape[0]])
    first = (np.clip(np.floor(corners.min(axis=0)), 0, size - 2 * times) // times * times).astype(int)
    last = np.clip(np.ceil(corners.max(axis=0)), first + 2 * times, size).astype(int)
    return int(first[0]), int(first[1]), grey[first[1] : last[1], first[0] : last[0]]


def _margins(line: MarkLine) -> tuple[float, float]:
    """How far a strip reaches beyond a line's ends, and to either side of it, px."""
    beyond = 0.15 * (line.reach_px[1] - line.reach_px[0]) + 4 * line.wave_px
    return beyond, line.wide_px + _TALLEST * line.wave_px


def profile_of(strip: Strip, sign: int, rows: slice, spacing: float) -> Floats:
    """How far marks, dark ones (``sign`` -1) or light ones, stand out along some rows of a strip, smoothed over a quarter of the columns between marks."""
    reach = max(1, round(0.12 * spacing))
    kernel = np.hanning(2 * reach + 3)[1:-1]
    return np.convolve(sign * strip.flat[rows].mean(axis=0), kernel / kernel.sum(), mode="same")


def lie_of(strip: Strip, wave_px: float) -> tuple[float, float]:
    """Offset across, px, and slope of the row of marks in a strip, from where its wave is strongest.

    A strip may show two rows, one at each edge of a narrow rule: they are told
    apart, and it is one of them that is followed.
    """
    waves, along, rows = _waves(strip, wave_px)
    energy = np.abs(waves) ** 2  # (rows, count)
    strong = energy.max(axis=0)
    used = strong > _STRONG * np.quantile(strong, 0.9)
    if used.sum() < 3:
        return 0.0, 0.0
    energy, strong, along = energy[:, used], strong[used], along[used]
    offset, slope = _followed(energy / strong, along, rows, tall_px=ROW_WAVES * wave_px)
    near = np.abs(rows[:, None] - (offset + slope * along)) < ROW_WAVES * wave_px
    core = np.where(near & (energy > 0.3 * strong), energy, 0.0)
    seen = core.any(axis=0)
    if seen.sum() < 3:
        return 0.0, 0.0
    middle = (core * rows[:, None]).sum(axis=0)[seen] / core.sum(axis=0)[seen]
    return straight_through(along[seen], middle)


def _followed(share: Floats, along: Floats, rows: Floats, *, tall_px: float) -> tuple[float, float]:
    """Offset across, px, and slope of a band ``tall_px`` high that holds much of ``share (rows, count)``.

    The slope is that of the band that holds most; of bands of that slope that
    hold nearly as much it is the one nearest to the middle of the strip.
    """
    rise = rows[1] - rows[0]
    high = max(1, round(tall_px / rise))
    whole = np.vstack([np.zeros(share.shape[1]), np.cumsum(np.pad(share, ((high, high), (0, 0))), axis=0)])
    held = whole[high:] - whole[:-high]  # by bands that start at a row
    start = np.arange(len(held))
    best, slope = np.zeros(len(held)), 0.0
    for tried in _SLOPES.tolist():
        at = start[:, None] + np.rint(tried * along / rise).astype(np.int64)
        inside = (at >= 0) & (at < len(held))
        sums = np.where(inside, held[np.clip(at, 0, len(held) - 1), np.arange(len(along))], 0.0).sum(axis=1)
        if sums.max() > best.max():
            best, slope = sums, tried
    around = np.lib.stride_tricks.sliding_window_view(np.pad(best, high), 2 * high + 1).max(axis=1)
    peaks = np.flatnonzero((best == around) & (best > _NEARLY * best.max()))
    middle = rows[0] + (peaks - high + (high - 1) / 2) * rise
    return float(middle[np.abs(middle).argmin()]), slope


def skew_of(strip: Strip, wave_px: float) -> float:
    """How far marks run along the line for each pixel across it; 0 where they stand upright."""
    turned, _ = _turned(strip, wave_px)
    skew = float(_skew(turned.sum(), strip, wave_px))
    return skew if _UPRIGHT < abs(skew) < _MOST_SKEW else 0.0


def leans(strip: Strip, wave_px: float, at: Floats) -> Floats:
    """How far marks at columns ``at`` run along the strip for each row of it, columns, ``(n,)``.

    Marks of a rule seen aslant draw together: where those in its middle stand upright, those at its ends do not.
    """
    turned, along = _turned(strip, wave_px)
    strength = np.abs(turned)
    used = strength > _STRONG * np.quantile(strength, 0.9)
    if used.sum() < _LEAST_CHUNKS:
        return np.zeros(len(at))
    skew, change = straight_through(along[used], _skew(turned[used], strip, wave_px))
    own = skew + change * (strip.start + at * strip.step)
    return np.asarray(own * (strip.rise / strip.step) if np.ptp(own) > _PARALLEL else np.zeros(len(at)))


def straight_through(x: Floats | Ints, y: Floats) -> tuple[float, float]:
    """Where the line through most points crosses x = 0, and its slope, by Theil and Sen: one bad point does no harm."""
    i, j = np.triu_indices(len(x), 1)
    slope = float(np.median((y[j] - y[i]) / (x[j] - x[i])))
    return float(np.median(y - slope * x)), slope


def _turned(strip: Strip, wave_px: float) -> tuple[NDArray[np.complex128], Floats]:
    """By how much the wave of each chunk turns from row to row, as complex numbers, and where chunks lie along, px."""
    waves, along, _ = _waves(strip, wave_px)
    turned = waves[1:] * waves[:-1].conj()
    strong = np.abs(turned) > 0.3 * np.abs(turned).max(axis=0)
    return np.asarray((turned * strong).sum(axis=0), dtype=np.complex128), along


def _skew(turned: NDArray[np.complex128], strip: Strip, wave_px: float) -> Floats:
    """The skew of marks, px along by px across, from how much their wave turns from row to row."""
    return np.asarray(-np.angle(turned) / (2 * np.pi) * wave_px / strip.rise)


def _waves(strip: Strip, wave_px: float) -> tuple[NDArray[np.complex128], Floats, Floats]:
    """The wave in each row of each chunk of a strip, ``(rows, chunks)``, where chunks lie along and rows across, px."""
    chunk = max(16, round(8 * wave_px / strip.step))
    count = strip.flat.shape[1] // chunk
    t = np.arange(chunk) * strip.step
    turn = np.exp(-2j * np.pi * t / wave_px) * np.hanning(chunk)
    # complex numbers would be eight times as slow
    both = np.column_stack([turn.real, turn.imag]).astype(np.float32)
    rows = np.arange(len(strip.flat)) * strip.rise + strip.low
    chunks = strip.flat[:, : count * chunk].reshape(len(rows), count, chunk)
    seen = (chunks.reshape(-1, chunk) @ both).reshape(len(rows), count, 2).astype(np.float64)
    waves = seen[..., 0] + 1j * seen[..., 1]
    along = (np.arange(count) + 0.5) * chunk * strip.step + strip.start
    return waves, np.asarray(along, dtype=np.float64), np.asarray(rows, dtype=np.float64)
