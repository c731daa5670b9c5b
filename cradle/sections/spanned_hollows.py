"""Hollows of sections, spanned: the body runs straight across them, as a string pulled tight around the thing would.

A pocket that follows a groove has a rib there, which meets the groove only
where that runs between the sections as the loft guesses. The thing is held as
well by what stands out beside it. A large hollow that runs through all sections
is the thing's own form, and followed unless it is to be spanned as well.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from cradle.finding import Finding, in_mm, note
from cradle.geometry.arrays import Floats, frozen
from cradle.names import section_words
from cradle.noun import noun
from cradle.sections.hollows import Hollow, hollows_of
from cradle.sections.section import Section
from cradle.sections.through_hollows import through_hollows


@noun
class Spanned:
    """Sections whose hollows are spanned, each with those it had."""

    sections: tuple[Section, ...]
    hollows: tuple[tuple[Hollow, ...], ...]


def spanned(sections: Sequence[Section], *, trace_mm: float, through: bool) -> Spanned:
    """The sections, straight across every hollow that is deeper than an unsteady hand makes one.

    Parameters
    ----------
    through
        Also across large ones that run through all sections.
    """
    rings = [one.points_mm for one in sections]
    hollows = [hollows_of(ring, trace_mm=trace_mm) for ring in rings]
    if not through:
        own_form = through_hollows(rings, hollows)
        hollows = [
            tuple(one for one in own if one not in kept) for own, kept in zip(hollows, own_form, strict=True)
        ]
    return Spanned(
        sections=tuple(
            replace(one, points_mm=straight_across(one.points_mm, own), drawn_mm=one.points_mm)
            if own
            else one
            for one, own in zip(sections, hollows, strict=True)
        ),
        hollows=tuple(hollows),
    )


def straight_across(ring: Floats, hollows: Iterable[Hollow]) -> Floats:
    """A ring, ``(n, 2)``, with the points of some of its hollows moved onto the chords across these.

    Examples
    --------
    >>> notched = np.array([[0.0, 0.0], [20.0, 0.0], [20.0, 10.0], [12.0, 10.0], [10.0, 4.0], [8.0, 10.0], [0.0, 10.0]])
    >>> (hollow,) = hollows_of(notched, trace_mm=0.1)
    >>> hollow.width_mm, hollow.depth_mm, straight_across(notched, [hollow])[3:6].tolist()
    (20.0, 6.0, [[15.0, 10.0], [10.0, 10.0], [5.0, 10.0]])
    """
    out = ring.copy()
    for hollow in hollows:
        parts = np.linspace(0.0, 1.0, len(hollow.points) + 2)[1:-1, None]
        out[hollow.points] = hollow.start_mm + parts * (hollow.end_mm - hollow.start_mm)
    return frozen(out)


def hollow_findings(given: Spanned) -> Iterator[Finding]:
    """That hollows are spanned, once for all sections."""
    every = [(hollow, one) for one, own in zip(given.sections, given.hollows, strict=True) for hollow in own]
    if not every:
        return
    deepest, section = max(every, key=lambda pair: pair[0].depth_mm)
    x, y = (deepest.start_mm + deepest.end_mm) / 2
    across = "hollows, the deepest" if len(every) > 1 else "a hollow"
    yield note(
        "hollows-spanned",
        f"the pocket runs straight across {across} {deepest.width_mm:.1f} mm wide and {deepest.depth_mm:.1f} mm deep"
        f" in {section_words(section.name)}",
        'if it is to follow the outline, say hollows = "followed" under [loft]; the fit is then less sure',
        where="loft.hollows",
        place_mm=(float(x), float(y), section.height_mm),
        **in_mm(deepest.depth_mm),
    )
