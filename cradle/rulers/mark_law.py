"""The law that all marks of a rule share along its edge.

The k-th mark lies at ``x = (a + b k) / (1 + c k)``: c is 0 on a flatbed, a tilted camera makes it differ. A lens that bends
lines moves marks besides, those of a long row by more than they are apart: a cubic takes that up.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from cradle.geometry.arrays import Floats, Ints, frozen
from cradle.geometry.peak import peak_shift
from cradle.geometry.usual import usual_miss
from cradle.noun import noun

LEAST_MARKS: Final = 20
_TIGHT: Final = 0.15
_LEAST_ROUNDS, _MOST_ROUNDS = 2, 12
"""Rounds in which marks are looked for beyond those known: where the view leans, the law gets better with each."""
_BENT: Final = 0.06
"""How far marks may always lie off their law, as a lens may bend it, in spacings."""
_LEAST_BOWED: Final = 60
"""Fewest marks that tell a lens's effect from noise."""
_EXPLAINS: Final = 0.8
"""Further coefficients are believed if they leave less than this part of the rms."""


@noun
class MarkLaw:
    """Where marks lie.

    Attributes
    ----------
    middle : float
        The number from which k counts.
    slant : (3,) float64
        a, b and c; c is 0 unless it shows.
    covariance : (3, 3) float64
        Of these.
    bow : (4,) float64
        What a lens adds, a polynomial of k by ``half``; 0 unless it shows.
    half : float
    """

    middle: float
    slant: Floats
    covariance: Floats
    bow: Floats
    half: float

    def places(self, number: Ints) -> Floats:
        """Where marks of such numbers lie, ``(n,)``."""
        k = number - self.middle
        a, b, c = self.slant
        return np.asarray((a + b * k) / (1 + c * k) + np.polyval(self.bow, k / self.half))


def peak_places(profile: Floats, peaks: Ints) -> Floats:
    """Places of peaks to a part of a sample, ``(n,)``."""
    inner = np.clip(peaks, 1, len(profile) - 2)
    return peaks + peak_shift(profile[inner - 1], profile[inner], profile[inner + 1])


def peaks_near(profile: Floats, at: Floats, *, reach: int) -> Ints:
    """The index of the highest sample of a profile within ``reach`` samples of each place, ``(n,)``."""
    near = np.clip(np.rint(at).astype(np.int64)[:, None] + np.arange(-reach, reach + 1), 0, len(profile) - 1)
    return near[np.arange(len(at)), profile[near].argmax(axis=1)]


def law_of(number: Ints, at: Floats) -> MarkLaw:
    """The law of marks that lie at some places."""
    middle, half = float(number.mean()), float(np.ptp(number)) / 2
    k = np.asarray(number - middle, dtype=np.float64)
    slant, covariance = _slant(k, at)
    law = MarkLaw(
        middle=middle, slant=frozen(slant), covariance=frozen(covariance), bow=frozen(np.zeros(4)), half=half
    )
    if len(k) < _LEAST_BOWED:
        return law
    miss = at - law.places(number)
    bowed = replace(law, bow=frozen(np.polyfit(k / half, miss, 3)))
    left = at - bowed.places(number)
    return bowed if float(left @ left) < _EXPLAINS**2 * float(miss @ miss) else law


def _slant(k: Floats, at: Floats) -> tuple[Floats, Floats]:
    """Coefficients a, b, c and the covariance of ``x = (a + b k) / (1 + c k)``; c is 0 unless it shows."""
    flat = np.column_stack([np.ones(len(k)), k])
    full = np.column_stack([flat, -k * at])
    simple, *_ = np.linalg.lstsq(flat, at, rcond=None)
    rms = float(np.sqrt(((flat @ simple - at) ** 2).sum() / max(1, len(k) - 2)))
    bent, *_ = np.linalg.lstsq(full, at, rcond=None)
    miss = (bent[0] + bent[1] * k) / (1 + bent[2] * k) - at
    rms_bent = float(np.sqrt((miss**2).sum() / max(1, len(k) - 3)))
    if rms_bent < _EXPLAINS * rms:
        return bent, np.linalg.inv(full.T @ full) * rms_bent**2
    cov = np.zeros((3, 3))
    cov[:2, :2] = np.linalg.inv(flat.T @ flat) * rms**2
    return np.array([simple[0], simple[1], 0.0]), cov


def marks_showing(profile: Floats, number: Ints, at: Floats, spacing: float) -> tuple[Ints, Floats] | None:
    """Numbers and places of all marks that show in a profile where the law of those known puts them; None if too few do."""
    for round_ in range(_MOST_ROUNDS):
        before = len(number)
        ends = np.arange(number[0] - 8, number[-1] + 9)
        wanted = law_of(number, at).places(ends)
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
