"""Plain shapes whose readings fit their neighbours only exchanged, swapped, in another unit or with other digits.

Where a section was drawn such a slip shows by comparing its readings with the drawing (`causes`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise
from typing import Final

import numpy as np

from cradle.finding import About, Finding, doubt
from cradle.geometry.arrays import Floats, Ints
from cradle.geometry.ring import size
from cradle.names import listed
from cradle.sections.axis_words import SIZES
from cradle.sections.laid import Laid, heights_of
from cradle.units import MISTAKEN_FOR_MM

_FAR: Final = 0.5
"""A section is unlike its neighbours where the logarithms of its sizes differ from theirs by this: 1.4 times, both ways."""
_NEARER: Final = 0.35
"""Exchanged, the difference must shrink to less than this part: that of a section merely of another shape does not."""
_NEAR: Final = 1.4
"""In its true unit a reading must be like its neighbours within this factor (our own choice): things widen and narrow."""

_UNLIKE: Final = 0.06
"""The logarithm of width over depth must differ from the neighbours' by more than this for exchanged digits to be looked for ..."""
_AT_END: Final = 2.0
"""... and at an end by more than this many times the others' own range of it, as only one neighbour tells what to expect (our own choice) ..."""
_ALIKE: Final = 0.02
"""... and by less than this once they are put right (our own choice): things that swell mostly swell both ways."""
_TELL_FORM: Final = 2
"""So many other sections, or more, tell the form that two with a reading swapped should have."""
_SWELLS: Final = 0.14
"""A reading that is put right must agree with its neighbours' to within this, as a logarithm (our own choice)."""


def doubtful_shapes(laid: Sequence[Laid]) -> list[Finding]:
    """A warning for every plain shape with width and depth exchanged, for every reading in another unit or with two digits exchanged, and for two swapped readings."""
    if len(laid) < 2:
        return []
    heights = heights_of(laid)
    sizes = np.log([size(one.ring) for one in laid])
    found = [
        *_exchanged(laid, heights=heights, sizes=sizes.copy()),
        *_in_other_units(laid, heights=heights, sizes=sizes.copy()),
    ]
    swapped = list(_swapped(laid, heights=heights, sizes=sizes))
    return found + (swapped or list(_digits_exchanged(laid, heights=heights, sizes=sizes)))


def _expected(heights: Floats, sizes: Floats, i: int) -> Floats:
    """The logarithms of width and depth by the neighbours of a section, ``(2,)``; at an end those of the only one."""
    return _between(heights, sizes, at=i, others=np.delete(np.arange(len(heights)), i))


def _between(heights: Floats, sizes: Floats, *, at: int, others: Ints) -> Floats:
    """The logarithms of width and depth by some other sections at the height of one, ``(2,)``."""
    return np.array([np.interp(heights[at], heights[others], sizes[others, axis]) for axis in (0, 1)])


def _exchanged(laid: Sequence[Laid], *, heights: Floats, sizes: Floats) -> list[Finding]:
    """Findings on shapes that are like their neighbours the other way round; ``sizes`` are put right in place."""
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
            about=About.READING,
        )
        for i in sorted(found)
    ]


def _in_other_units(laid: Sequence[Laid], *, heights: Floats, sizes: Floats) -> list[Finding]:
    """Findings on readings that are a tenth or a twenty-fifth of what their neighbours lead to; ``sizes`` are put right in place."""
    found: dict[tuple[int, int], str] = {}
    units = dict(MISTAKEN_FOR_MM)
    exact = [i for i, one in enumerate(laid) if one.exact]
    for _ in laid:  # once one is put right its neighbours can be judged
        for i in exact:
            for axis, missing in enumerate(_expected(heights, sizes, i) - sizes[i]):
                unit = next((u for u, mm in units.items() if abs(missing - np.log(mm)) < np.log(_NEAR)), None)
                if unit is not None and (i, axis) not in found:
                    found[i, axis] = unit
                    sizes[i, axis] += np.log(units[unit])
    of_one: dict[tuple[int, str], list[int]] = {}
    for (i, axis), unit in sorted(found.items()):
        of_one.setdefault((i, unit), []).append(axis)
    return [
        doubt(
            "reading-unit-doubtful",
            listed([f"the {SIZES[axis]} of {size(laid[i].ring)[axis]:g} mm" for axis in axes])
            + (" looks as if it were" if len(axes) == 1 else " look as if they were")
            + f" in {unit}: so the section would be like its neighbours",
            "write readings in mm; all is well if the thing is as thin as that there",
            where=laid[i].where,
            about=About.READING,
        )
        for (i, unit), axes in of_one.items()
    ]


def _digits_exchanged(laid: Sequence[Laid], *, heights: Floats, sizes: Floats) -> Iterator[Finding]:
    """Findings on readings that fit their neighbours and the section's other reading with two digits exchanged."""
    for i, one in enumerate(laid):
        off = sizes[i] - _expected(heights, sizes, i)
        forms = np.delete(sizes[:, 1] - sizes[:, 0], i)
        at_end = i in (0, len(laid) - 1)
        unlike = max(_UNLIKE, _AT_END * float(np.ptp(forms)) if at_end else 0.0)
        odd = one.exact and abs(off[1] - off[0]) > unlike
        fitting = list(_fitting(size(one.ring), off=off)) if odd else []
        if fitting:
            _, axis, read, meant = min(fitting)
            yield doubt(
                "digits-exchanged",
                f"the {SIZES[axis]} of {read} mm looks as if two digits were exchanged: with {meant} mm the section "
                "would be like its neighbours",
                "look at the calipers again; all is well if they read that",
                where=one.where,
                about=About.READING,
            )


def _swapped(laid: Sequence[Laid], *, heights: Floats, sizes: Floats) -> Iterator[Finding]:
    """A finding on the two sections that fit all others only with each other's width, or each other's depth; at most one.

    Width over depth tells that something is swapped, and the sizes which of the two it is. Of 40 scanned things
    taken as plain shapes none was told so, with two widths swapped 5 of 13.
    """
    found = []
    for pair in combinations([i for i, one in enumerate(laid) if one.exact], 2):
        if len(laid) - len(pair) < _TELL_FORM:
            break
        others = np.delete(np.arange(len(laid)), pair)
        expected = np.array([_between(heights, sizes, at=i, others=others) for i in pair])
        for axis in (0, 1):
            own = sizes[list(pair)]
            meant = own.copy()
            meant[:, axis] = own[::-1, axis]
            was, now = (np.diff(both - expected, axis=1) for both in (own, meant))
            if np.abs(was).min() > _UNLIKE and np.abs(now).max() < _ALIKE:
                found.append((float(np.abs(meant - expected).max()), pair, axis))
    if found:
        _, (low, high), axis = min(found)
        word = SIZES[axis]
        yield doubt(
            "sizes-swapped",
            f"its {word} and that of {laid[high].where} seem to be swapped: the other way round both would be of the same "
            "form as all others",
            f"look at the readings again, and let each have the other's {word} if so",
            where=laid[low].where,
            about=About.READING,
        )


def _fitting(read_mm: Sequence[float], *, off: Floats) -> Iterator[tuple[float, int, str, str]]:
    """Readings that fit with two digits exchanged: how far they are off then, their axis, as read and as meant.

    ``off (2,)`` is how far width and depth as read are from what the neighbours lead to, in logarithms.
    """
    apart = off[1] - off[0]
    for axis, read in enumerate(f"{mm:g}" for mm in read_mm):
        for meant in _with_two_exchanged(read):
            change = float(np.log(float(meant) / float(read)))
            left = abs(float(off[axis]) + change)
            if abs(apart + (change if axis else -change)) < _ALIKE and left < _SWELLS:
                yield left, axis, read, meant


def _with_two_exchanged(read: str) -> Iterator[str]:
    """The readings that differ from one by two neighbouring digits exchanged, the point left where it is.

    Examples
    --------
    >>> list(_with_two_exchanged("87.4"))
    ['78.4', '84.7']
    """
    at = [k for k, sign in enumerate(read) if sign.isdigit()]
    for a, b in pairwise(at):
        if read[a] != read[b] and (a, read[b]) != (at[0], "0"):
            yield f"{read[:a]}{read[b]}{read[a + 1 : b]}{read[a]}{read[b + 1 :]}"
