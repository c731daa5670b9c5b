"""Plain shapes of which a reading looks as if it were in another unit than its neighbours; of a drawing its own readings tell that."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from cradle.finding import Finding, Severity
from cradle.geometry.ring import size
from cradle.sections.axis_words import SIZES
from cradle.sections.exchanged import expected_sizes
from cradle.sections.laid import Laid
from cradle.units import MISTAKEN_FOR_MM

_NEAR: Final = 1.4
"""In its unit a reading is like its neighbours within this factor (our own choice): things widen and narrow."""


def readings_in_other_units(laid: Sequence[Laid]) -> list[Finding]:
    """A warning for every reading of a plain shape that is a tenth or a twenty-fifth of what its neighbours let expect."""
    if len(laid) < 2:
        return []
    heights = np.array([one.spec.height_mm for one in laid])
    sizes = np.log([size(one.ring) for one in laid])
    found: dict[tuple[int, int], str] = {}
    for _ in laid:  # put right, one lets its neighbours be judged
        for i, one in enumerate(laid):
            for axis, missing in enumerate(expected_sizes(heights, sizes, i) - sizes[i]):
                for unit, mm in MISTAKEN_FOR_MM:
                    if one.exact and (i, axis) not in found and abs(missing - np.log(mm)) < np.log(_NEAR):
                        found[i, axis] = unit
                        sizes[i, axis] += np.log(mm)
    return [_told(laid[i], axis, unit=unit) for (i, axis), unit in sorted(found.items())]


def _told(laid: Laid, axis: int, *, unit: str) -> Finding:
    return Finding(
        code="reading-unit-doubtful",
        severity=Severity.WARN,
        where=laid.where,
        message=f"the {SIZES[axis]} of {size(laid.ring)[axis]:g} mm looks as if it were in {unit}: so it would be "
        "like its neighbours",
        advice="write it in mm; all is well if the thing is as thin as that there",
    )
