"""Places in a picture where something regular runs along a line: candidates for a rule's marks.

The picture is cut into overlapping tiles at several sizes; a tile whose
spectrum is mostly one wave is a vote. Votes of one wave that lie on a line
along the wave's own direction make a candidate.
"""

from __future__ import annotations

from itertools import product
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.geometry.vectors import cross
from cradle.noun import record
from cradle.pictures.averaged import averaged, from_copy

if TYPE_CHECKING:
    from cradle.geometry.arrays import Bools, Bytes, Floats, Ints, Singles

LARGEST_PX: Final = 3200
_TILE: Final = 64
_STEP: Final = 32
_SMALLEST_PX: Final = 240
"""Longer side of the smallest copy looked at: thin marks are a plain wave only where they are blurred together."""
_SHORTEST_PX: Final = 2.4
_LONGEST_PX: Final = 14.0
"""Shortest and longest wave looked for within one tile, in its own pixels."""
_LEAST_SHARE: Final = 0.11
"""Least part of a tile's energy in its strongest wave and its overtones."""
_LEAST_LEVELS: Final = 1.2
"""Amplitude of the weakest wave, grey levels."""
_ABOVE_LOWER: Final = 3.0
"""A wave has more than this many times the energy at half its frequency; an edge has not."""
_SAME_WAVE: Final = 0.16
_READ: Final = 1.25
"""Marks are read along a line whose wave is no further from theirs, by this factor (`cradle.rulers.ruler_marks`)."""
_LEAST_VOTES: Final = 4
_MOST: Final = 8
_TRIED: Final = 24
"""Most lines told apart at one size: squared paper has many."""
_OF_A_GRID: Final = 2
_SAME_GRID: Final = 0.06
"""Of parallel lines whose waves differ by less than this part, only this many are looked at: rules have two edges; more are a grid."""
_WINDOW: Final = np.outer(*2 * [np.hanning(_TILE + 2)[1:-1].astype(np.float32)])
_RADIUS: Final = np.hypot(np.fft.fftfreq(_TILE)[:, None], np.fft.rfftfreq(_TILE)[None, :])
"""Cycles per px of each part of a tile's spectrum."""
_BAND: Final = (_RADIUS > 1 / _LONGEST_PX) & (_RADIUS < 1 / _SHORTEST_PX)
_ONCE: Final = np.isin(np.arange(_TILE // 2 + 1), [0, _TILE // 2])
"""Columns of a real spectrum that stand for themselves alone."""
_WHITENING: Final = (np.where(_ONCE, 1.0, 2.0) * _RADIUS**2).astype(np.float32)
"""A step's spectrum falls as 1/f."""


@record
class MarkLine:
    """A line along which marks may lie: a point on it, its direction, how far it reaches either way, and the wave's length, px."""

    centre_px: tuple[float, float]
    ahead: tuple[float, float]
    reach_px: tuple[float, float]
    wave_px: float
    wide_px: float
    """How far to either side the votes lie."""
    strength: float


def regular_lines(grey: Bytes, *, largest_px: int = LARGEST_PX) -> tuple[MarkLine, ...]:
    """Lines of regular marks, the most promising first.

    Parameters
    ----------
    grey : (h, w) uint8
    largest_px : int
        A picture with a longer side is looked at halved, which is blind to marks less than `_SHORTEST_PX` apart in it.
    """
    found: list[MarkLine] = []
    largest = max(grey.shape)
    level = grey
    scale = 1
    while max(level.shape) > largest_px:
        level, scale = averaged(level, times=2), scale * 2
    first = scale
    while min(level.shape) >= _TILE and (scale == first or largest / scale >= _SMALLEST_PX):
        found += _lines(level, scale)
        level, scale = averaged(level, times=2), scale * 2
    apart: list[MarkLine] = []
    for line in sorted(found, key=lambda each: -each.strength):
        if not any(_same(line, other) for other in apart):
            apart.append(line)
    kept = [line for k, line in enumerate(apart) if sum(_alike(line, o) for o in apart[:k]) < _OF_A_GRID]
    return tuple(kept[:_MOST])


def _same(a: MarkLine, b: MarkLine) -> bool:
    """Whether two candidates lie on one another, so that reading one reads the other."""
    along = abs(a.ahead[0] * b.ahead[0] + a.ahead[1] * b.ahead[1])
    apart = np.subtract(a.centre_px, b.centre_px)
    off = abs(cross(apart, np.array(b.ahead)))
    alike = max(a.wave_px, b.wave_px) < _READ * min(a.wave_px, b.wave_px)
    return bool(along > 0.985 and off < 0.6 * max(a.wide_px, b.wide_px) and alike)


def _alike(a: MarkLine, b: MarkLine) -> bool:
    """Whether two candidates run the same way and have the same wave, as the lines of squared paper have."""
    along = abs(a.ahead[0] * b.ahead[0] + a.ahead[1] * b.ahead[1])
    return bool(along > 0.985 and abs(a.wave_px / b.wave_px - 1) < _SAME_GRID)


def _lines(level: Bytes, scale: int) -> list[MarkLine]:
    centres, waves, power = _votes(level)
    lines: list[MarkLine] = []
    free = np.ones(len(centres), dtype=bool)
    for _ in range(_TRIED):
        if free.sum() < _LEAST_VOTES:
            break
        best, best_score = None, 0.0
        order = np.flatnonzero(free)[np.argsort(-power[free], kind="stable")][:24]
        for seed in order:
            members = _on_line(centres, waves, seed) & free
            if members.sum() >= _LEAST_VOTES:
                score = float(np.sqrt(power[members]).sum())
                if score > best_score:
                    best, best_score = (seed, members), score
        if best is None:
            break
        seed, members = best
        lines.append(_line(centres[members], waves[members], power[members], scale, best_score))
        free &= ~members
    return lines


def _votes(level: Bytes) -> tuple[Floats, Floats, Floats]:
    """Centres ``(n, 2)`` px, waves ``(n, 2)`` in cycles per px, power ``(n,)`` of tiles with one strong wave."""
    rows, columns = (np.unique(np.r_[np.arange(0, n - _TILE, _STEP), n - _TILE]) for n in level.shape)
    view = np.lib.stride_tricks.sliding_window_view(level, (_TILE, _TILE))
    middle = (_TILE - 1) / 2
    centres, waves, power = [np.zeros((0, 2))], [np.zeros((0, 2))], [np.zeros(0)]
    for row in rows.tolist():
        which, wave, strength = _strong_waves(view[row, columns].astype(np.float32))
        centres.append(np.column_stack([columns[which] + middle, np.full(len(which), row + middle)]))
        waves.append(wave)
        power.append(strength)
    return np.concatenate(centres), np.concatenate(waves), np.concatenate(power)


def _strong_waves(tiles: Singles) -> tuple[Ints, Floats, Floats]:
    """The tiles, of ``(n, t, t)``, that are mostly one wave: numbers ``(k,)``, waves ``(k, 2)`` in cycles per px, power ``(k,)``."""
    busy = np.flatnonzero(tiles.std(axis=(1, 2)) > 1.5 * _LEAST_LEVELS)
    if not busy.size:
        return busy, np.zeros((0, 2)), np.zeros(0)
    tiles = (tiles[busy] - tiles[busy].mean(axis=(1, 2), keepdims=True)) * _WINDOW
    energy = np.abs(np.fft.rfft2(tiles)) ** 2 * _WHITENING
    py, px = np.divmod(np.where(_BAND, energy, 0.0).reshape(len(busy), -1).argmax(axis=1), energy.shape[2])
    around, moment = _near_peak(energy, px, py)
    up = np.where(py > _TILE // 2, py - _TILE, py)
    wave = (np.column_stack([px, up]) + moment / around[:, None]) / _TILE
    tile = np.arange(len(busy))
    half = energy[tile, np.rint(up / 2).astype(int), np.rint(px / 2).astype(int)]
    share = (around + _overtones(energy, wave)) / np.maximum(energy.sum(axis=(1, 2)), 1e-9)
    levels = np.sqrt(around) / np.hypot(*wave.T) / (_WINDOW.sum() / 2) / 1.5
    good = (share > _LEAST_SHARE) & (levels > _LEAST_LEVELS) & (energy[tile, py, px] > _ABOVE_LOWER * half)
    return busy[good], wave[good], (around * share)[good]


def _near_peak(energy: Singles, px: Ints, py: Ints) -> tuple[Floats, Floats]:
    """Energy in each tile's peak and its eight neighbours, ``(n,)``, and its moment about the peak, ``(n, 2)``."""
    tile = np.arange(len(energy))
    around, moment = np.zeros(len(energy)), np.zeros((len(energy), 2))
    for dy, dx in product((-1, 0, 1), repeat=2):
        ix, iy = px + dx, (py + dy) % _TILE
        there = (ix >= 0) & (ix < energy.shape[2])
        e = np.where(there, energy[tile, iy, np.clip(ix, 0, energy.shape[2] - 1)], 0.0)
        around += e
        moment += e[:, None] * np.array([dx, dy], dtype=np.float64)
    return around, moment


def _overtones(energy: Singles, wave: Floats) -> Floats:
    """Energy at two and three times each tile's wave, ``(n,)``: thin marks have much there."""
    tile = np.arange(len(energy))
    sum_ = np.zeros(len(energy))
    for times in (2, 3):
        at = np.rint(times * wave * _TILE).astype(int)
        inside = (np.abs(at) < _TILE // 2 - 1).all(axis=1) & (at[:, 0] >= 0)
        for dy, dx in product((-1, 0, 1), repeat=2):
            ix = np.clip(at[:, 0] + dx, 0, energy.shape[2] - 1)
            sum_ += np.where(inside, energy[tile, (at[:, 1] + dy) % _TILE, ix], 0.0)
    return sum_


def _on_line(centres: Floats, waves: Floats, seed: int) -> Bools:
    """Which votes have the seed's wave and lie on the line through it along its wave, ``(n,)`` bool."""
    size = float(np.hypot(*waves[seed]))
    ahead = waves[seed] / size
    flip = np.where(waves @ ahead < 0, -1.0, 1.0)[:, None]
    alike = np.hypot(*(waves * flip - waves[seed]).T) < _SAME_WAVE * size + 0.004
    apart = centres - centres[seed]
    off = np.abs(cross(apart, ahead))
    return np.asarray(alike & (off < 0.8 * _STEP + 0.03 * np.abs(apart @ ahead)))


def _line(centres: Floats, waves: Floats, power: Floats, scale: int, score: float) -> MarkLine:
    flip = np.where(waves @ waves[np.argmax(power)] < 0, -1.0, 1.0)[:, None]
    wave = np.average(waves * flip, axis=0, weights=power)
    size = float(np.hypot(*wave))
    ahead = wave / size
    middle = np.average(centres, axis=0, weights=power)
    centre = from_copy(middle, times=scale)
    apart = centres - middle
    along, off = apart @ ahead, cross(ahead, apart)
    return MarkLine(
        centre_px=(float(centre[0]), float(centre[1])),
        ahead=(float(ahead[0]), float(ahead[1])),
        reach_px=(float(along.min() - _TILE / 2) * scale, float(along.max() + _TILE / 2) * scale),
        wave_px=scale / size,
        wide_px=float(np.abs(off).max() + _TILE / 2) * scale,
        strength=score / scale,
    )
