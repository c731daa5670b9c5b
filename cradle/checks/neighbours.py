"""Whether a thing in a row comes out while its neighbours stay in."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import permutations

import numpy as np

from cradle.finding import About, Finding, doubt
from cradle.geometry.arrays import Floats
from cradle.geometry.solid import Solid, box_mm, moved, overlap_mm3
from cradle.pocket.pocket import Pocket

_STEPS = 24
"""A thing is looked at in so many places on its way out."""
_TOUCH_MM3 = 1e-3
"""Things that share less than this only touch."""


def neighbour_findings(pockets: Sequence[Pocket], things: Sequence[Solid]) -> Iterator[Finding]:
    """Things that run into another one of the row on their way out.

    Neighbours stand further apart than they are wide, so only a way out that
    leads aside can do that. Of a thing no more is known than what was lofted.

    Parameters
    ----------
    pockets : sequence of Pocket
        From left to right.
    things : sequence of Solid
        As lofted, seated, in the same order and frame.
    """
    boxes = [box_mm(thing) for thing in things]
    for one, other in permutations(range(len(pockets)), 2):
        (low, high), (other_low, other_high) = boxes[one], boxes[other]
        way = pockets[one].direction * (other_high[2] - low[2]) / pockets[one].direction[2]
        apart = other_low[0] - high[0] if other > one else low[0] - other_high[0]
        if way[0] * (other - one) > 0 and abs(way[0]) > apart and _meets(things[one], things[other], way):
            yield doubt(
                "neighbour-in-the-way",
                f"on its way out the thing in pocket {one + 1} runs into the one in pocket {other + 1}",
                f"make the gap wider, or take the one in pocket {other + 1} out first",
                about=About.HOLDER,
                where="row.gap",
            )


def _meets(thing: Solid, other: Solid, way: Floats) -> bool:
    return any(
        overlap_mm3(moved(thing, way * part), other) > _TOUCH_MM3
        for part in np.linspace(0.0, 1.0, _STEPS).tolist()
    )
