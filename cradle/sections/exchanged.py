"""Plain shapes whose width and depth look exchanged beside their neighbours; of a drawing its own readings tell that."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from cradle.finding import Finding, Severity
from cradle.geometry.arrays import Floats
from cradle.geometry.ring import size
from cradle.sections.laid import Laid

_FAR: Final = 0.5
"""A section is unlike its neighbours where the logarithms of its sizes differ from theirs by this: 1.4 times, both ways."""
_NEARER: Final = 0.35
"""Exchanged it must come this much nearer: what is merely of another shape does not."""


def exchanged_readings(laid: Sequence[Laid]) -> list[Finding]:
    """A warning for every plain shape that fits its neighbours only with width and depth exchanged."""
    if len(laid) < 2:
        return []
    heights = np.array([one.spec.height_mm for one in laid])
    sizes = np.log([size(one.ring) for one in laid])
    found = []
    # those between two others first: an end is compared with its only neighbour, which may be the one exchanged
    for i in (*range(1, len(laid) - 1), 0, len(laid) - 1):
        if laid[i].exact and _exchanged(sizes[i], expected_sizes(heights, sizes, i)):
            sizes[i] = sizes[i, ::-1]
            found.append(i)
    return [_told(laid[i]) for i in sorted(found)]


def expected_sizes(heights: Floats, sizes: Floats, i: int) -> Floats:
    """The logarithms of width and depth by the neighbours of a section, ``(2,)``; at an end those of the only one."""
    others = np.delete(np.arange(len(heights)), i)
    return np.array([np.interp(heights[i], heights[others], sizes[others, axis]) for axis in (0, 1)])


def _exchanged(own: Floats, expected: Floats) -> bool:
    off, other = np.hypot(*(own - expected)), np.hypot(*(own[::-1] - expected))
    return bool(off > _FAR and other < _NEARER * off)


def _told(laid: Laid) -> Finding:
    width, depth = size(laid.ring)
    return Finding(
        code="readings-exchanged",
        severity=Severity.WARN,
        where=laid.where,
        message=f"width {width:g} mm and depth {depth:g} mm seem to be swapped: the other way round the section would be "
        "like its neighbours",
        advice="width runs left to right, depth front to back: measure both again, and swap them if needed",
    )
