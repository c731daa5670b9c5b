"""Spreads: what is uncertain in a project, in words, and what is believed of the printer.

The figures of readings are those of `cradle.sections.reading_spreads`; what is
stated here is common practice, no source, and a project overrides it in its
``[spread]`` table.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Final

from cradle.noun import record
from cradle.project.fit import SpreadSpec
from cradle.project.printer import PrinterSpec

_UNMEASURED_INSIDE_MM: Final = 0.10
_UNMEASURED_INSIDE_SPREAD_MM: Final = 0.05
"""Printers make holes 0.1 to 0.3 mm too small across, by sellers' advice: 0.10 ± 0.05 per side."""
_MEASURED_INSIDE_SPREAD_MM: Final = 0.03
"""How sure a stated inside error is taken to be."""


class Spread(StrEnum):
    """What is uncertain."""

    TRACE = "trace"
    POINTS = "points"
    SCALE = "scale"
    CALIPERS = "calipers"
    HEIGHTS = "heights"
    PLACING = "placing"
    BETWEEN = "between"
    INSIDE = "inside"
    REPEAT = "repeat"


PLAIN_WORDS: Final = {
    Spread.TRACE: "the traced outline",
    Spread.POINTS: "the few measured points of an outline",
    Spread.SCALE: "the drawing's scale",
    Spread.CALIPERS: "the caliper readings",
    Spread.HEIGHTS: "the heights of the sections",
    Spread.PLACING: "the position of the sections relative to each other",
    Spread.BETWEEN: "the shape between the measured heights",
    Spread.INSIDE: "the printer's inside error",
    Spread.REPEAT: "the printer's repeatability",
}


@record
class InsideError:
    """What is believed of the printer: how much smaller, per side, an inside wall comes out, mm."""

    expected_mm: float
    spread_mm: float
    measured: bool


def inside_error(printer: PrinterSpec, spec: SpreadSpec) -> InsideError:
    """What is believed of the printer; an inside error of 0 without a spread of its own is not measured."""
    measured = spec.inside_mm is not None or printer.inside_error_mm != 0.0
    if not measured:
        return InsideError(
            expected_mm=_UNMEASURED_INSIDE_MM, spread_mm=_UNMEASURED_INSIDE_SPREAD_MM, measured=False
        )
    spread = _MEASURED_INSIDE_SPREAD_MM if spec.inside_mm is None else spec.inside_mm
    return InsideError(expected_mm=printer.inside_error_mm, spread_mm=spread, measured=True)
