"""How finely readings were read, by how they are written: whole millimetres, halves, or parts of an inch."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from cradle.finding import Finding, in_mm, note
from cradle.project.fit import SpreadSpec
from cradle.sections.laid import Laid
from cradle.sections.readings import readings_of
from cradle.units import MM_PER_INCH

_STEPS: Final = (
    (MM_PER_INCH / 16, "sixteenths of an inch"),
    (1.0, "whole millimetres"),
    (MM_PER_INCH / 32, "parts of 1/32 inch"),
    (0.5, "half millimetres"),
    (MM_PER_INCH / 64, "parts of 1/64 inch"),
)
"""From the coarsest: what rules show, mm."""
_ENOUGH: Final = 4
"""So many different readings do not end so by chance: of readings to 0.01 mm one in a hundred is a whole millimetre."""
_SAME_MM: Final = 0.013
"""Half a thousandth of an inch: 1 1/16 in is written 1.063."""


def as_written(spread: SpreadSpec, laid: Sequence[Laid]) -> tuple[SpreadSpec, tuple[Finding, ...]]:
    """The spreads with the step that all caliper readings are written in, unless one is stated; a note where it is coarse."""
    if spread.step_mm is not None:
        return spread, ()
    read = np.unique([r for one in laid for r in readings_of(one) if r is not None])
    if len(read) < _ENOUGH:
        return spread, ()
    for step, words in _STEPS:
        if (np.abs(read - step * np.round(read / step)) < _SAME_MM).all():
            return replace(spread, step_mm=step), (_told(step, words),)
    return spread, ()


def _told(step: float, words: str) -> Finding:
    return note(
        "readings-rounded",
        f"all widths and depths are {words}: each may be off by {step / 2:.2f} mm",
        "read them to 0.01 mm with calipers, or set step = 0.01 if they are that exact",
        where="spread.step",
        **in_mm(step),
    )
