"""Two sections that stand at each other's height, as the sides show."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations
from typing import Final

import numpy as np

from cradle.finding import About, Finding, doubt
from cradle.geometry.arrays import Floats
from cradle.names import listed
from cradle.sections.axis_words import SIZES
from cradle.sections.laid import Laid
from cradle.sections.profiles import Profile, Profiles
from cradle.sections.readings import size_along

_OFF: Final = 0.08
"""A section is off where the logarithms of its size and of what the sides show there differ by this: more than they are read wrong."""
_NEARER: Final = 0.35
"""At the other's height both differences must shrink to less than this part."""
_LEAST_MM: Final = 1e-3
"""Sides nearer together than this, or on one another, count as so far apart."""


def heights_swapped(laid: Sequence[Laid], *, profiles: Profiles) -> Iterator[Finding]:
    """A warning of every pair of sections, bottom to top, that are as wide and deep as opposite sides show only at each other's height, all others at their own."""
    pairs, heights = profiles.pairs, np.array([one.spec.height_mm for one in laid])
    if not pairs:
        return
    seen = np.flatnonzero(
        np.all([low.reaches(heights) & high.reaches(heights) for low, high in pairs], axis=0)
    )
    off = np.max([_off(laid, low, high) for low, high in pairs], axis=0)
    for i, j in combinations(seen.tolist(), 2):
        least = min(off[i, i], off[j, j])
        others = [off[k, k] for k in seen.tolist() if k not in (i, j)]
        if least > _OFF and max(off[i, j], off[j, i], *others) < _NEARER * least:
            sizes = listed([SIZES[low.side.axis] for low, _ in pairs])
            yield doubt(
                "heights-swapped",
                f"its height and that of {laid[j].where} seem to be swapped: each has the {sizes} that the sides show at the other's"
                " height",
                f"let each have the other's height: {heights[j]:g} mm here",
                where=laid[i].where,
                about=About.READING,
            )


def _off(laid: Sequence[Laid], low: Profile, high: Profile) -> Floats:
    """How far each section's size is from what two sides show at each section's height, as a logarithm, ``(k, k)``."""
    heights = np.array([one.spec.height_mm for one in laid])
    sizes = np.array([size_along(one, axis=low.side.axis) for one in laid])
    shown = np.maximum(high.at(heights) - low.at(heights), _LEAST_MM)
    return np.asarray(np.abs(np.log(sizes[:, None] / shown)))
