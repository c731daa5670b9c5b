"""What the marks of a rule count: mm or sixteenths of an inch, told by their lengths.

On a rule in mm every fifth and tenth mark is longer; on one in inches every
second, fourth, eighth and sixteenth (common practice, no source). A grid has
lines of one length, and so tells nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from statistics import median
from typing import Final

import numpy as np

from cradle.geometry.arrays import Floats, Ints
from cradle.noun import record
from cradle.rulers.ruler_strip import straight_through
from cradle.units import MM_PER_INCH

_LEAST_AGREEMENT: Final = 0.55
"""Least agreement of a graduation with the marks' lengths for it to be believed ..."""
_AGREEMENT_WITH_TAG: Final = 0.25
"""... and where a resolution tag or another rule says the same spacing."""
_BY_TAG: Final = 0.03
BY_RULE: Final = 0.18
"""Largest relative difference of the spacing from what a tag says, and from what another rule says: the view may lean by 20 degrees."""
_STEP: Final = 0.12
"""A longer class of marks is at least this much longer, in spacings."""
_CLEAR_STEP: Final = 0.5
"""The same where some marks are left out: with less every second mm, of which each fifth is longer, would do."""
_CLEARER: Final = 0.04
"""Least lead in agreement of the best graduation over the next."""
_EARNED: Final = 0.02
"""Least lead in agreement that a further class of marks must earn; digits that an inch's marks run into earn less."""
_SHORTEST: Final = 2.2
"""Greatest length of the shortest marks of sixteenths, in spacings: 3.5 mm; those of thirty-seconds as short in spacings would be
1.7 mm long (common practice)."""
_LEAST_HALVED: Final = 2
"""Fewest whole inches, and fewest half ones, that show that there are both."""
_EIGHTHS_SHORTEST: Final = 1.5
"""Greatest length of the shortest marks of eighths, in spacings: 4.8 mm; longer ones are sixteenths of which blur has made two sizes one."""
_NUMERALS: Final = ((), (-2, -1), (1, 2), (-3, -2, -1, 0), (0, 1, 2, 3))
"""Which marks a numeral may run into, counted from each longest one: none, those before it, those after it, or either with that mark
itself (common practice)."""
_LEAST_ALONE: Final = 2.5
"""Where only the fifth marks tell, the shortest must be at least this long, in spacings: those of every second mm are shorter (common
practice)."""
_MOST_DRIFT: Final = 0.4
"""Largest part by which marks at either end may seem longer or shorter than in the middle."""


@record
class Graduation:
    """A way of marking: marks are ``unit_mm`` apart, and for each number n in ``longer`` every n-th mark is a size longer."""

    name: str
    unit_mm: float
    longer: tuple[int, ...]
    usual: bool

    @property
    def period(self) -> int:
        """Number of marks after which their lengths repeat."""
        return self.longer[-1]

    def ranks(self, number: Ints) -> Ints:
        """Rank of each mark by length, 0 for the shortest, ``(n,)``."""
        return (number % np.array(self.longer)[:, None] == 0).sum(axis=0)


@record
class GraduationReading:
    """A graduation, and how much of the marks' lengths it explains (0 to 1)."""

    graduation: Graduation
    agreement: float


_MILLIMETRES: Final = Graduation(name="1 mm", unit_mm=1.0, longer=(5, 10), usual=True)
_SIXTEENTHS: Final = Graduation(name="1/16 in", unit_mm=MM_PER_INCH / 16, longer=(2, 4, 8, 16), usual=True)
_THIRTY_SECONDS: Final = Graduation(
    name="1/32 in", unit_mm=MM_PER_INCH / 32, longer=(2, 4, 8, 16, 32), usual=False
)
_EIGHTHS: Final = Graduation(name="1/8 in", unit_mm=MM_PER_INCH / 8, longer=(2, 4, 8), usual=False)
GRADUATIONS: Final = (
    _MILLIMETRES,
    _SIXTEENTHS,
    Graduation(name="0.5 mm", unit_mm=0.5, longer=(2, 10, 20), usual=False),
    _THIRTY_SECONDS,
    _EIGHTHS,
)


def readings(number: Ints, lengths: Floats, *, whole: Floats | None = None) -> tuple[GraduationReading, ...]:
    """The graduations that the lengths allow, the best first.

    Parameters
    ----------
    number : (n,)
        Count of each mark.
    lengths : (n,)
        Lengths in spacings, or how far the marks reach to one side of a line across them.
    whole : (n,), optional
        Their lengths from end to end; default ``lengths``.
    """
    whole = lengths if whole is None else whole
    sizes = _level(number, np.clip(lengths, 0.0, np.median(lengths) + 12.0))
    spread = float(np.abs(sizes - np.median(sizes)).sum())
    if spread <= _STEP * max(1.0, 0.05 * len(sizes)):
        return ()
    shortest = float(np.quantile(_level(number, whole), 0.25))
    halved = _halved(number, sizes)
    found: tuple[GraduationReading, ...] = ()
    for beside in _NUMERALS:  # looked at only where what came before does not tell
        if 0 in beside and shortest < _LEAST_ALONE:
            continue
        told = _plain(_found(number, sizes, beside), shortest=shortest, halved=halved)
        found = max(found, told, key=_told)
        if _told(found) >= _LEAST_AGREEMENT:
            break
    return found


def _found(number: Ints, sizes: Floats, beside: tuple[int, ...]) -> list[GraduationReading]:
    """The graduations that explain anything, the best first; for usual ones the marks at the places ``beside`` each longest one are left out."""
    found = []
    for graduation in GRADUATIONS:
        if number[-1] - number[0] < 1.5 * graduation.period:
            continue
        if 0 in beside and graduation is not _MILLIMETRES:  # of any other what is left may be a finer one's
            continue
        hidden = [place % graduation.period for place in beside if graduation.usual]
        best = 0.0
        for phase in range(graduation.period):
            counts, seen = number - phase, sizes
            if hidden:
                clear = ~np.isin(counts % graduation.period, hidden)
                counts, seen = counts[clear], seen[clear]
            best = max(best, _agreement(counts, seen, graduation, step=_CLEAR_STEP if hidden else _STEP))
        if best > 0:
            found.append(GraduationReading(graduation=graduation, agreement=best))
    found.sort(key=lambda reading: -reading.agreement)
    return found


def _told(found: Sequence[GraduationReading]) -> float:
    """How much the best reading explains."""
    return found[0].agreement if found else 0.0


def _halved(number: Ints, sizes: Floats) -> bool:
    """Whether every second one of the longest marks, 16 apart, is clearly shorter: half inches between whole ones.

    They are so few that their lengths explain next to nothing of the spread of all.
    """
    period = _SIXTEENTHS.period
    phase = max(
        range(period), key=lambda start: median(sizes[(number - start) % period == 0].tolist() or [0.0])
    )
    long = (number - phase) % period == 0
    odd = (number[long] - phase) // period % 2 == 1
    one, two = sizes[long][odd], sizes[long][~odd]
    if min(len(one), len(two)) < _LEAST_HALVED:
        return False
    return bool(max(one.min() - two.max(), two.min() - one.max()) > _CLEAR_STEP)


def _plain(
    found: Sequence[GraduationReading], *, shortest: float, halved: bool
) -> tuple[GraduationReading, ...]:
    """The readings without those that the marks are too short or too long for.

    Where sixteenths, with one class of marks fewer, explain short marks about as well as thirty-seconds do, thirty-seconds
    are left out; where the longest marks are ``halved``, which those of sixteenths never are, sixteenths are.
    """
    share = {reading.graduation: reading.agreement for reading in found}
    finer, coarser = (share.get(graduation, 0.0) for graduation in (_THIRTY_SECONDS, _SIXTEENTHS))
    as_well = coarser > 0 and finer - coarser < _EARNED and shortest < _SHORTEST
    unlikely = [_SIXTEENTHS] if halved and finer else [_THIRTY_SECONDS] * as_well
    left_out = unlikely + [_EIGHTHS] * (shortest > _EIGHTHS_SHORTEST)
    return tuple(reading for reading in found if reading.graduation not in left_out)


def credible_reading(
    found: tuple[GraduationReading, ...], *, tag_unit_mm: float | None, within: float = _BY_TAG
) -> GraduationReading | None:
    """The reading to be believed, or None when the lengths leave it open.

    Parameters
    ----------
    found : tuple of GraduationReading
        The best first.
    tag_unit_mm : float or None
        What the resolution tag, or another rule beside it, makes of the spacing between marks.
    within : float
        Part by which that may be off.
    """
    if tag_unit_mm is not None:
        for reading in found:
            close = abs(tag_unit_mm / reading.graduation.unit_mm - 1) < within
            if close and reading.agreement > max(_AGREEMENT_WITH_TAG, found[0].agreement - 0.2):
                return reading
    if not found or found[0].agreement < _LEAST_AGREEMENT:
        return None
    if len(found) > 1 and found[0].agreement - found[1].agreement < _CLEARER:
        return None
    return found[0]


def _level(number: Ints, sizes: Floats) -> Floats:
    """Lengths without what an oblique view makes them grow or shrink from one end of the rule to the other."""
    _, slope = straight_through(number, sizes)
    along = number - (number[0] + number[-1]) / 2
    middle = float(np.median(sizes))
    trend = np.clip(slope * along / max(middle, 1e-9), -_MOST_DRIFT, _MOST_DRIFT)
    return np.asarray(sizes / (1 + trend))


def _agreement(number: Ints, sizes: Floats, graduation: Graduation, *, step: float) -> float:
    """Part of the spread of the lengths that their classes explain; 0 when one is not longer than the next by ``step``."""
    ranks = graduation.ranks(number)
    rest, middle = 0.0, -np.inf
    for rank in range(int(ranks.max()) + 1):
        own = sizes[ranks == rank]
        if not own.size:  # all of them, the longest, are hidden
            continue
        centre = median(own.tolist())  # a fifth of numpy's cost for a few dozen: asked thousands of times
        if centre < middle + step:
            return 0.0
        middle = centre
        rest += float(np.abs(own - centre).sum())
    spread = float(np.abs(sizes - median(sizes.tolist())).sum())
    return max(0.0, 1.0 - rest / max(spread, 1e-9))
