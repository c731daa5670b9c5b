"""Plain shapes whose readings fit their neighbours only exchanged or in another unit; of a drawing its own readings tell that."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from cradle.finding import Finding, doubt
from cradle.geometry.arrays import Floats
from cradle.geometry.ring import size
from cradle.sections.axis_words import SIZES
from cradle.sections.laid import Laid
from cradle.units import MISTAKEN_FOR_MM

_FAR: Final = 0.5
"""A section is unlike its neighbours where the logarithms of its sizes differ from theirs by this: 1.4 times, both ways."""
_NEARER: Final = 0.35
"""Exchanged it must come this much nearer: what is merely of another shape does not."""
_NEAR: Final = 1.4
"""In its unit a reading is like its neighbours within this factor (our own choice): things widen and narrow."""


def doubtful_shapes(laid: Sequence[Laid]) -> list[Finding]:
    """A warning for every plain shape with width and depth exchanged, and for every reading of one in another unit."""
    if len(laid) < 2:
        return []
    heights = np.array([one.spec.height_mm for one in laid])
    sizes = np.log([size(one.ring) for one in laid])
    return [
        *_exchanged(laid, heights=heights, sizes=sizes.copy()),
        *_in_other_units(laid, heights=heights, sizes=sizes.copy()),
    ]


def _expected(heights: Floats, sizes: Floats, i: int) -> Floats:
    """The logarithms of width and depth by the neighbours of a section, ``(2,)``; at an end those of the only one."""
    others = np.delete(np.arange(len(heights)), i)
    return np.array([np.interp(heights[i], heights[others], sizes[others, axis]) for axis in (0, 1)])


def _exchanged(laid: Sequence[Laid], *, heights: Floats, sizes: Floats) -> list[Finding]:
    """What is told of shapes that are like their neighbours the other way round; ``sizes`` are put right."""
    found = []
    # those between two others first: an end is compared with its only neighbour, which may be the one exchanged
    for i in (*range(1, len(laid) - 1), 0, len(laid) - 1):
        own, expected = sizes[i], _expected(heights, sizes, i)
        off, other = np.hypot(*(own - expected)), np.hypot(*(own[::-1] - expected))
        if laid[i].exact and off > _FAR and other < _NEARER * off:
            sizes[i] = own[::-1]
            found.append(i)
    return [
        doubt(
            "readings-exchanged",
            "width {:g} mm and depth {:g} mm seem to be swapped: the other way round the section would be "
            "like its neighbours".format(*size(laid[i].ring)),
            "width runs left to right, depth front to back: measure both again, and swap them if needed",
            where=laid[i].where,
        )
        for i in sorted(found)
    ]


def _in_other_units(laid: Sequence[Laid], *, heights: Floats, sizes: Floats) -> list[Finding]:
    """What is told of readings that are a tenth or a twenty-fifth of what neighbours let expect; ``sizes`` are put right."""
    found: dict[tuple[int, int], str] = {}
    for _ in laid:  # put right, one lets its neighbours be judged
        for i, one in enumerate(laid):
            for axis, missing in enumerate(_expected(heights, sizes, i) - sizes[i]):
                for unit, mm in MISTAKEN_FOR_MM:
                    if one.exact and (i, axis) not in found and abs(missing - np.log(mm)) < np.log(_NEAR):
                        found[i, axis] = unit
                        sizes[i, axis] += np.log(mm)
    return [
        doubt(
            "reading-unit-doubtful",
            f"the {SIZES[axis]} of {size(laid[i].ring)[axis]:g} mm looks as if it were in {unit}: so it would be "
            "like its neighbours",
            "write it in mm; all is well if the thing is as thin as that there",
            where=laid[i].where,
        )
        for (i, axis), unit in sorted(found.items())
    ]
