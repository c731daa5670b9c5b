"""An outline that looks like one half of the thing, taken for the whole: it ends in a straight side and is half as large."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from cradle.finding import Finding, doubt, in_mm
from cradle.geometry.arrays import Floats
from cradle.geometry.ring import size, turned
from cradle.sections.axis_words import AXES
from cradle.sections.laid import Laid

_FLAT: Final = 0.01
"""Points this near an outline's end, as a share of its size, lie on its straight side."""
_SKEW_DEG: Final = tuple(range(-6, 7))
"""Angles at which a straight side may lie askew."""
_STRAIGHT: Final = 0.85
"""Length of a straight side, as a share of the outline's."""
_HALF: Final = (0.35, 0.65)
"""Least and greatest size of a half, as a share of its neighbours'."""


def halves_alone(drawn: Sequence[Laid]) -> Iterator[Finding]:
    """A finding for every outline that looks like a half, where no caliper reading says how large it is."""
    for index, one in enumerate(drawn):
        if one.spec.half or one.exact:
            continue
        beside = [size(drawn[k].ring) for k in (index - 1, index + 1) if 0 <= k < len(drawn)]
        for axis, reading in enumerate((one.spec.width_mm, one.spec.depth_mm)):
            if reading is not None or not beside:
                continue
            own = size(one.ring)[axis]
            others = sum(extent[axis] for extent in beside) / len(beside)
            if _HALF[0] < own / others < _HALF[1] and _ends_straight(one.ring, axis=axis):
                yield doubt(
                    "half-outline",
                    f"the outline has one straight side and is only {own:.1f} mm {AXES[axis].large}, its neighbours "
                    f"{others:.1f} mm: it looks like one half",
                    "if it is one half of the thing, set half = true",
                    where=one.where,
                    **in_mm(own, limit=others),
                )


def _ends_straight(ring: Floats, *, axis: int) -> bool:
    """Whether a ring ends in a long straight side at one end of an axis, and in none at the other."""
    along = size(ring)[1 - axis]
    short, long = sorted(_straight_mm(out * ring, axis=axis) for out in (-1.0, 1.0))
    return long > _STRAIGHT * along and short < _STRAIGHT / 2 * along


def _straight_mm(ring: Floats, *, axis: int) -> float:
    """The length of a ring's side within `_FLAT` of its greatest x or y, mm, at the small turn that makes it longest."""
    longest = 0.0
    for angle_deg in _SKEW_DEG:
        leant = turned(ring, angle_deg=angle_deg)
        across = leant[:, axis]
        side = leant[across > across.max() - _FLAT * np.ptp(across), 1 - axis]
        longest = max(longest, float(np.ptp(side)))
    return longest
