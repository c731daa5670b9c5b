"""One caliper reading that its drawing misses where all others meet theirs far better: a slip of a millimetre or two."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Final

import numpy as np

from cradle.finding import Finding, Severity
from cradle.geometry.arrays import Bools, Floats
from cradle.names import section_words
from cradle.sections.section import Section

_LEAST_MM: Final = 0.8
"""What is off by less is left to tracing: most slips are of a whole millimetre.

Of drawn readings of three sections, widths alone or both, that miss their
drawings by 0.1, 0.2, 0.3 mm (one standard deviation), one is told wrongly in 0,
0.3, 4 of 100; a slip of 1 mm is told in 70 to 96, 40 to 71, 30 to 43 of 100, of
2 mm in 99, 95, 80 to 96.
"""
_STATED: Final = 2
"""The stated tracing error counts as much as so many readings: two alone may agree by chance."""
_SURE: Final = (63.7, 9.92, 5.84, 4.60, 4.03, 3.71, 3.50, 3.36, 3.25, 3.17)
"""Student's t for 99 in 100, two-sided, by the degrees of freedom from 1 (from memory of the printed tables)."""


def out_of_line(
    sections: Sequence[Section], *, drawn: Sequence[bool], told: Collection[str], trace_mm: float
) -> list[Finding]:
    """A finding for the reading that differs from its drawing by far more than all others do; at most one.

    All drawings may be too large or too small alike. Two other readings are the fewest.

    Parameters
    ----------
    drawn : for each section whether its outline is known apart from its readings
    told : places of sections whose readings are doubted already
    trace_mm : float
        Standard uncertainty of an outline, square to it, as stated.
    """
    at = [
        (i, axis, reading)
        for i, one in enumerate(sections)
        for axis, reading in enumerate(one.caliper_mm)
        if drawn[i] and reading is not None
    ]
    if len(at) < 3:
        return []
    read = np.array([reading for _, _, reading in at])
    traced = np.array([sections[i].traced_mm[axis] for i, axis, _ in at])
    worst = int(np.argmax(np.abs(_missed_mm(read, traced, by=np.ones(len(at), dtype=bool)))))
    others = np.arange(len(at)) != worst
    missed = _missed_mm(read, traced, by=others)
    count = len(at) - 1
    freedom = count - 1 + _STATED
    variance = ((missed[others] ** 2).sum() + _STATED * 2 * trace_mm**2) / freedom  # both ends are traced
    limit = max(_LEAST_MM, _SURE[min(freedom, len(_SURE)) - 1] * float(np.sqrt(variance * (1 + 1 / count))))
    section, axis, reading = at[worst]
    where = section_words(sections[section].name)
    if abs(missed[worst]) <= limit or where in told:
        return []
    word = ("width", "depth")[axis]
    within = max(0.1, float(np.ceil(10 * np.abs(missed[others]).max())) / 10)
    return [
        Finding(
            code="reading-out-of-line",
            severity=Severity.WARN,
            where=where,
            message=f"the {word} of {reading:.2f} mm is {abs(missed[worst]):.1f} mm {'less' if missed[worst] < 0 else 'more'} than "
            f"its drawing says; all other readings are within {within:.1f} mm of theirs",
            measured=float(missed[worst]),
            limit=limit,
            unit="mm",
            advice=f"measure the {word} again, and compare the drawing with its template",
        )
    ]


def _missed_mm(read: Floats, traced: Floats, *, by: Bools) -> Floats:
    """How far each reading is from its drawing, brought to the scale that some of them (``by``) share, mm."""
    out: Floats = read - traced * np.median(read[by] / traced[by])
    return out
