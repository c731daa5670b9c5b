"""What a drawing of sections consists of: closed rings, named in words, at heights."""

from __future__ import annotations

from collections.abc import Sequence

from cradle.geometry.arrays import Floats
from cradle.names import printable
from cradle.noun import noun

_UNFIT = dict.fromkeys(map(ord, "<>/\\\":;?*|=`,'&"), " ")
"""Characters that a DXF layer name must not hold, and those that XML escapes."""


@noun
class NamedRing:
    """A closed ring at a height: ``points_mm (n, 2)``, the last point joins the first."""

    name: str
    height_mm: float
    points_mm: Floats


def layer_names(rings: Sequence[NamedRing]) -> list[str]:
    """A layer's name in words for every ring, such as ``section low at 4 mm``; no two alike."""
    names: list[str] = []
    taken: set[str] = set()
    for ring in rings:
        words = printable(ring.name.translate(_UNFIT), instead=" ").split()
        base = " ".join(["section", *words])[:200] + f" at {ring.height_mm:g} mm"
        name, number = base, 1
        while name.lower() in taken:  # layer names are the same whatever their case
            number += 1
            name = f"{base} no {number}"
        taken.add(name.lower())
        names.append(name)
    return names
