"""Whether an outline may be two pieces that touch: it hangs together by a narrow neck.

Shrunk by r, an outline falls apart where it is narrower than 2 r. Pieces that
touch do so at a spot small beside either of them; pieces laid edge to edge
along a whole side look like one and cannot be told.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from cradle.finding import Finding, doubt
from cradle.geometry.arrays import Floats
from cradle.geometry.planar import area_mm2, offset, outer_rings, region
from cradle.noun import record
from cradle.pictures.grain import Grain

TOUCHING: Final = "pieces-touch"
_NARROW: Final = 0.25
"""A neck is suspicious below this part of the width of the smaller side (a circle of the same area)."""
_LEAST_MM: Final = 8.0
"""Width of the smallest part that may be a piece of its own: below it lie tabs, pointers and crumbs."""
_STEPS: Final = 10


@record
class Neck:
    """The narrowest place between the large parts of an outline, its width, and how wide the smaller part is, mm."""

    width_mm: float
    smaller_mm: float
    parts: int


def neck_of(ring_mm: Floats) -> Neck | None:
    """The neck that an outline hangs together by, or None when it has none.

    Parameters
    ----------
    ring_mm : (n, 2)
        Simple; a few hundred points are enough.
    """
    area = region(ring_mm)
    widest = _NARROW * 2 * float(np.sqrt(area_mm2(area) / 2 / np.pi))
    for width in np.linspace(0.0, widest, _STEPS + 1)[1:].tolist():
        parts = [offset(region(part), width / 2) for part in outer_rings(offset(area, -width / 2))]
        sizes = [2 * float(np.sqrt(area_mm2(part) / np.pi)) for part in parts]
        large = [size for size in sizes if size >= _LEAST_MM]
        if len(large) > 1:
            smaller = min(large)
            return (
                Neck(width_mm=width, smaller_mm=smaller, parts=len(large))
                if width < _NARROW * smaller
                else None
            )
    return None


def neck_doubt(ring_mm: Floats, *, grain: Grain) -> Iterator[Finding]:
    """The doubt that an outline is several pieces that touch; nothing for any other."""
    neck = neck_of(ring_mm)
    if neck is None:
        return
    yield doubt(
        TOUCHING,
        f"its {neck.parts} parts are joined by a bridge narrower than {grain.length(neck.width_mm):.1f}: pieces that"
        " touch count as one",
        "if these are several pieces, leave a gap of a few mm between them",
        **grain.figures(neck.width_mm, limit_mm=_NARROW * neck.smaller_mm),
    )
