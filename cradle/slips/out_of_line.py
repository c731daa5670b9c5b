"""The one caliper reading that disagrees with its drawing far more than all others do with theirs: a slip of a millimetre or two."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from statistics import NormalDist
from typing import Final

import numpy as np

from cradle.finding import About, Finding, doubt, in_mm
from cradle.geometry.arrays import Bools, Floats
from cradle.names import section_words
from cradle.noun import record
from cradle.project.fit import SpreadSpec
from cradle.sections.axis_words import SIZES
from cradle.sections.reading_spreads import AXES_SHARE, combined
from cradle.sections.section import Section

_LEAST_MM: Final = 0.8
"""What is off by less than this is taken for tracing error: most slips are of a whole millimetre."""
_STATED: Final = 2
"""The stated errors count as much as this many readings when the usual error is estimated: two readings alone may agree by chance."""
_BY_CHANCE: Final = 0.05
"""Of things without a wrong reading at most this share get the finding.

Where the readings of three drawn sections miss the drawings by 0.1, 0.2, 0.3 mm
(one standard deviation; 0.1 stated) one is told wrongly in 0, 0, 3 of 100; a
slip of 1 mm is told in 85, 52, 30 of 100, of 2 mm in 88 to 100; where widths
alone were read, in 17 and in 73 to 98. Of 176 projects of scanned things whose
readings were sound one was told of (errors of a careful hand, as stated).
"""


def out_of_line(
    sections: Sequence[Section], *, drawn: Sequence[bool], told: Collection[str], spread: SpreadSpec
) -> Iterator[Finding]:
    """A finding for the reading that differs from its drawing by far more than all others do; at most one.

    What makes all drawings too large or too small alike is taken out first. At
    least two other readings are needed. The reading furthest off is tested by
    Student's t against the errors of the others, at a level divided by the number
    of readings, as it is the worst of them (Bonferroni).

    Parameters
    ----------
    drawn : for each section whether its outline is known apart from its readings
    told : places of sections whose readings are doubted already
    """
    at = [
        (i, axis, reading)
        for i, one in enumerate(sections)
        for axis, reading in enumerate(one.caliper_mm)
        if drawn[i] and reading is not None
    ]
    if len(at) < 3:
        return
    read = np.array([reading for _, _, reading in at])
    traced = np.array([sections[i].traced_mm[axis] for i, axis, _ in at])
    found = _furthest_off(read, traced, spread=spread)
    if found is None:
        return
    section, axis, reading = at[found.number]
    where = section_words(sections[section].name)
    if where in told:
        return
    word = SIZES[axis]
    within = max(0.1, float(np.ceil(10 * found.others_mm)) / 10)
    yield doubt(
        "reading-out-of-line",
        f"the {word} of {reading:.2f} mm is {abs(found.missed_mm):.1f} mm {'less' if found.missed_mm < 0 else 'more'} than "
        f"its drawing says; all other readings are within {within:.1f} mm of theirs",
        f"measure the {word} again, and compare the drawing with its template",
        where=where,
        about=About.READING,
        **in_mm(found.missed_mm, limit=found.limit_mm),
    )


@record
class _FurthestOff:
    """The number of a reading, how far it misses its drawing, how far chance alone may take it, and how far all others miss theirs at most; mm."""

    number: int
    missed_mm: float
    limit_mm: float
    others_mm: float


def _furthest_off(read: Floats, traced: Floats, *, spread: SpreadSpec) -> _FurthestOff | None:
    """The reading furthest off its drawing by its spread; None where that may be chance."""
    count = len(read) - 1
    scale = combined([spread.scale_percent / 100, AXES_SHARE])
    stated = np.sqrt(2 * spread.trace_mm**2 + (scale * traced) ** 2)  # both ends are traced
    worst = int(np.argmax(np.abs(_missed_mm(read, traced, by=np.ones(len(read), dtype=bool))) / stated))
    others = np.arange(len(read)) != worst
    missed = _missed_mm(read, traced, by=others)
    if abs(missed[worst]) <= _LEAST_MM:
        return None
    freedom = count - 1 + _STATED
    variance = (((missed / stated)[others] ** 2).sum() + _STATED) / freedom * stated[worst] ** 2
    off, share = float(np.sqrt(variance * (1 + 1 / count))), _BY_CHANCE / len(read)
    if abs(missed[worst]) <= NormalDist().inv_cdf(1 - share / 2) * off:
        return None  # Student's t would allow more, and takes a tenth of a second to load
    limit = max(_LEAST_MM, _students_t(share, freedom=freedom) * off)
    if abs(missed[worst]) <= limit:
        return None
    return _FurthestOff(
        number=worst,
        missed_mm=float(missed[worst]),
        limit_mm=float(limit),
        others_mm=float(np.abs(missed[others]).max()),
    )


def _missed_mm(read: Floats, traced: Floats, *, by: Bools) -> Floats:
    """How far each reading is from its drawing once that is scaled by the median factor of those marked in ``by``, mm."""
    return read - traced * np.median(read[by] / traced[by])


def _students_t(share: float, *, freedom: int) -> float:
    """The value that Student's t exceeds, to either side, in a share of all cases."""
    from scipy.special import stdtrit

    return float(stdtrit(freedom, 1 - share / 2))
