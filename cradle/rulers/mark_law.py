"""The law that all marks of a rule share along its edge.

The k-th mark lies at ``x = (a + b k) / (1 + c k)``: c is 0 on a flatbed, a tilted camera makes it differ.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from cradle.geometry.arrays import Floats, Ints
from cradle.geometry.peak import peak_shift
from cradle.geometry.usual import usual_miss

LEAST_MARKS: Final = 20
_TIGHT: Final = 0.15
_LEAST_ROUNDS, _MOST_ROUNDS = 2, 12
"""Rounds in which marks are looked for beyond those known: where the view leans, the law gets better with each."""
_BENT: Final = 0.06
"""How far marks may lie off their law because a lens bends it, in spacings."""


def peak_places(profile: Floats, peaks: Ints) -> Floats:
    """Places of peaks to a part of a sample, ``(n,)``."""
    inner = np.clip(peaks, 1, len(profile) - 2)
    return peaks + peak_shift(profile[inner - 1], profile[inner], profile[inner + 1])


def peaks_near(profile: Floats, at: Floats, *, reach: int) -> Ints:
    """The highest sample of a profile within so many of each place, ``(n,)``."""
    near = np.clip(np.rint(at).astype(np.int64)[:, None] + np.arange(-reach, reach + 1), 0, len(profile) - 1)
    return near[np.arange(len(at)), profile[near].argmax(axis=1)]


def law_of(number: Ints, at: Floats) -> tuple[Floats, Floats]:
    """Coefficients a, b, c and the covariance of ``x = (a + b k) / (1 + c k)``; c is 0 unless it shows."""
    k = number - number.mean()
    flat = np.column_stack([np.ones(len(k)), k])
    full = np.column_stack([flat, -k * at])
    simple, *_ = np.linalg.lstsq(flat, at, rcond=None)
    rms = float(np.sqrt(((flat @ simple - at) ** 2).sum() / max(1, len(k) - 2)))
    bent, *_ = np.linalg.lstsq(full, at, rcond=None)
    miss = (bent[0] + bent[1] * k) / (1 + bent[2] * k) - at
    rms_bent = float(np.sqrt((miss**2).sum() / max(1, len(k) - 3)))
    if rms_bent < 0.8 * rms:
        cov = np.linalg.inv(full.T @ full) * rms_bent**2
        return bent, cov
    cov = np.zeros((3, 3))
    cov[:2, :2] = np.linalg.inv(flat.T @ flat) * rms**2
    return np.array([simple[0], simple[1], 0.0]), cov


def marks_showing(profile: Floats, number: Ints, at: Floats, spacing: float) -> tuple[Ints, Floats] | None:
    """Numbers and places of all marks that show in a profile where the law of some puts them; None of too few."""
    for round_ in range(_MOST_ROUNDS):
        before = len(number)
        middle = number.mean()
        (a, b, c), _cov = law_of(number, at)
        ends = np.arange(number[0] - 8, number[-1] + 9)
        k = ends - middle
        wanted = (a + b * k) / (1 + c * k)
        inside = (wanted > spacing) & (wanted < len(profile) - 1 - spacing)
        ends, wanted = ends[inside], wanted[inside]
        peak = peaks_near(profile, wanted, reach=round(0.3 * spacing))
        found = peak_places(profile, peak)
        height = profile[peak]
        typical = float(np.median(height))
        good = (np.abs(found - wanted) < _TIGHT * spacing) & (height > 0.4 * typical)
        miss = np.abs(found - wanted)
        good &= miss < max(_BENT * spacing, 4.0 * usual_miss(miss[good]) if good.any() else 0.0)
        good &= np.convolve(good, np.ones(5), mode="same") >= 3  # a mark alone beyond the end is no mark
        if good.sum() < LEAST_MARKS or typical <= 0:
            return None
        number, at = ends[good], found[good]
        if round_ >= _LEAST_ROUNDS and len(number) <= before:
            break
    return number, at
