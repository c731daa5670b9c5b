"""Whether a thing in a row comes out while its neighbours stay in."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from cradle.finding import Finding, Severity
from cradle.geometry.arrays import Floats
from cradle.geometry.solid import Solid, highest_mm, lowest_mm, moved, overlap_mm3
from cradle.pocket.pocket import Pocket

_STEPS = 24
_TOUCH_MM3 = 1e-3


def neighbour_findings(pockets: Sequence[Pocket], things: Sequence[Solid]) -> tuple[Finding, ...]:
    """Things that run into the one beside them on their way out.

    Neighbours stand further apart than they are wide, so only a way out that
    leads aside can do that. Of a thing no more is known than what was lofted.

    Parameters
    ----------
    pockets : sequence of Pocket
        From left to right.
    things : sequence of Solid
        As lofted, seated, in the same order and frame.
    """
    found = []
    for left, right in pairwise(range(len(pockets))):
        for one, other in ((left, right), (right, left)):
            way = pockets[one].direction
            rise = highest_mm(things[other]) - lowest_mm(things[one])
            if way[0] * (other - one) > 1e-9 and _meets(things[one], things[other], way * (rise / way[2])):
                found.append(
                    Finding(
                        code="neighbour-in-the-way",
                        severity=Severity.WARN,
                        message=f"on its way out the thing in pocket {one + 1} runs into the one in"
                        f" pocket {other + 1}",
                        where="row.gap",
                        advice=f"make the gap wider, or take the one in pocket {other + 1} out first",
                    )
                )
    return tuple(found)


def _meets(thing: Solid, other: Solid, way: Floats) -> bool:
    return any(
        overlap_mm3(moved(thing, way * part), other) > _TOUCH_MM3
        for part in np.linspace(0.0, 1.0, _STEPS).tolist()
    )
