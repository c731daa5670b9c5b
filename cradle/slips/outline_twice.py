"""One outline given to two sections whose readings differ: a file's name that was copied and not changed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from cradle.finding import About, Finding, doubt
from cradle.geometry.ring import size
from cradle.sections.axis_words import SIZES
from cradle.sections.laid import Laid
from cradle.sections.readings import readings_of

_OFF: Final = 0.03
"""A size that differs from a reading by more than this share is not that reading's."""
_SAME_MM: Final = 1e-6
"""No two outlines by hand are as like as this."""


def given_twice(laid: Sequence[Laid]) -> Iterator[Finding]:
    """A warning of every drawn section whose outline is that of another and does not fit its own readings, not even exchanged, while it fits the other's."""
    drawn = [one for one in laid if not one.exact]
    for section in (one for one in drawn if not (_fits(one) or _fits(one, exchanged=True))):
        other = next((one for one in drawn if _alike(one, section) and _fits(one)), None)
        if other is not None:
            yield doubt(
                "outline-twice",
                f"its outline is that of {other.where}, point for point, but {_off_words(section)}",
                "give it an outline of its own (file, layer, pick or point)",
                where=section.where,
                about=About.READING,
            )


def _off_words(section: Laid) -> str:
    """What a section's readings say, and its drawing."""
    told = [
        f"its {word} is {read:.2f} mm with calipers, {drawn:.2f} mm as drawn"
        for word, read, drawn in zip(SIZES, readings_of(section), size(section.ring), strict=True)
        if read is not None
    ]
    return "; ".join(told)


def _alike(one: Laid, other: Laid) -> bool:
    """Whether two outlines are the same, point for point."""
    return one.ring.shape == other.ring.shape and bool(
        np.allclose(one.ring, other.ring, rtol=0, atol=_SAME_MM)
    )


def _fits(one: Laid, *, exchanged: bool = False) -> bool:
    """Whether an outline is as large as its readings say, or as these say exchanged; where none say anything it is."""
    readings = readings_of(one)[::-1] if exchanged else readings_of(one)
    return all(
        read is None or abs(read / drawn - 1.0) <= _OFF
        for read, drawn in zip(readings, size(one.ring), strict=True)
    )
