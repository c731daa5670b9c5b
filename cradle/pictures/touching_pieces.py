"""Whether an outline may be two pieces that touch: it hangs together by a narrow neck.

Shrunk by r, an outline falls apart where it is narrower than 2 r. Pieces that
touch do so at a spot small beside either of them; pieces laid edge to edge
along a whole side look like one and cannot be told. They widen at once from
there: a long neck is a thing's own, a spanner's or a dumbbell's.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from cradle.finding import Finding, doubt
from cradle.geometry.arrays import Floats
from cradle.geometry.planar import Region, common, offset, outer_rings, region, union, without
from cradle.geometry.region_measures import area_mm2
from cradle.noun import record
from cradle.pictures.grain import Grain

TOUCHING: Final = "pieces-touch"
_NARROW: Final = 0.25
"""A neck is suspicious below this part of the width of the smaller side (a circle of the same area)."""
_LEAST_MM: Final = 8.0
"""Width of the smallest part that may be a piece of its own: below it lie tabs, pointers and crumbs."""
_STEPS: Final = 10
_LONG_MM: Final = 4.0
"""A neck longer than this, and than it is wide, is a thing's own."""
_WIDER: Final = 1.5
"""A neck goes on as long as it is no wider than this many times its least width: hands cut it unevenly."""
_MEETS_MM: Final = 0.05


@record
class Neck:
    """The narrowest place between the large parts of an outline: width, length, and how wide the smaller part is, mm."""

    width_mm: float
    length_mm: float
    smaller_mm: float
    parts: int

    @property
    def own(self) -> bool:
        """Whether it is too long for a spot at which pieces touch."""
        return self.length_mm > max(_LONG_MM, self.width_mm)


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
        large = _large_parts(area, width)
        if len(large) > 1:
            smaller = min(map(_width_mm, large))
            if width >= _NARROW * smaller:
                return None
            wider = _WIDER * width
            length = _bridge_mm2(area, _large_parts(area, wider)) / wider
            return Neck(width_mm=width, length_mm=length, smaller_mm=smaller, parts=len(large))
    return None


def _large_parts(area: Region, width_mm: float) -> list[Region]:
    """The large parts of a region that remain once everything narrower than ``width_mm`` is taken away."""
    parts = [offset(region(part), width_mm / 2) for part in outer_rings(offset(area, -width_mm / 2))]
    return [part for part in parts if _width_mm(part) >= _LEAST_MM]


def _width_mm(part: Region) -> float:
    """Diameter of a circle of the same area."""
    return 2 * float(np.sqrt(area_mm2(part) / np.pi))


def _bridge_mm2(area: Region, parts: Sequence[Region]) -> float:
    """Area of the largest bridge between two or more of the parts of a region."""
    left = [region(ring) for ring in outer_rings(without(area, union(parts)))]
    meets = [sum(area_mm2(common(offset(own, _MEETS_MM), part)) > 0 for part in parts) for own in left]
    return max((float(area_mm2(own)) for own, n in zip(left, meets, strict=True) if n > 1), default=0.0)


def neck_doubt(ring_mm: Floats, *, grain: Grain) -> Iterator[Finding]:
    """The doubt that an outline is several pieces that touch; nothing for any other."""
    neck = neck_of(ring_mm)
    if neck is None or neck.own:
        return
    yield doubt(
        TOUCHING,
        f"its {neck.parts} parts are joined by a bridge narrower than {grain.length(neck.width_mm):.1f}: pieces that"
        " touch count as one",
        "if these are several pieces, leave a gap of a few mm between them",
        **grain.figures(neck.width_mm, limit_mm=_NARROW * neck.smaller_mm),
    )
