"""Spreads: the standard uncertainties that count in a project, the program's own choice where none is given.

Only calipers have a published limit; the other defaults are common practice,
no source, and a project overrides them in its ``[spread]`` table.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import numpy as np

from cradle.geometry.arrays import Floats
from cradle.project.fit import SpreadSpec
from cradle.project.printer import PrinterSpec

CALIPER_LIMIT_MM: Final = 0.02
"""Digital calipers up to 100 mm: ±0.02, DIN 862 as quoted second hand."""
LONG_CALIPER_LIMIT_MM: Final = 0.03
"""The same beyond 100 mm."""
UNMEASURED_INSIDE_MM: Final = 0.10
UNMEASURED_INSIDE_SPREAD_MM: Final = 0.05
"""Printers make holes 0.1 to 0.3 mm too small across, by sellers' advice: 0.10 ± 0.05 per side."""
MEASURED_INSIDE_SPREAD_MM: Final = 0.03


class Spread(StrEnum):
    """What is spread."""

    TRACE = "trace"
    SCALE = "scale"
    CALIPERS = "calipers"
    HEIGHTS = "heights"
    PLACING = "placing"
    BETWEEN = "between"
    INSIDE = "inside"
    REPEAT = "repeat"


PLAIN_WORDS: Final = {
    Spread.TRACE: "the traced outline",
    Spread.SCALE: "the drawing's scale",
    Spread.CALIPERS: "the caliper readings",
    Spread.HEIGHTS: "the heights of the sections",
    Spread.PLACING: "where the sections lie beside each other",
    Spread.BETWEEN: "the shape between the measured heights",
    Spread.INSIDE: "the printer's inside error",
    Spread.REPEAT: "the printer's repeatability",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class InsideError:
    """What is believed of the printer: how much smaller, per side, an inside wall comes out, mm."""

    expected_mm: float
    spread_mm: float
    measured: bool


def rectangular(half_width_mm: float) -> float:
    """Standard uncertainty of a value anywhere within ± a half width: a/√3 (JCGM 101:2008, 6.4.2)."""
    return float(half_width_mm / np.sqrt(3.0))


def combined(terms: Sequence[float] | Floats) -> float:
    """Root of the sum of squares: independent standard uncertainties combined (JCGM 100:2008, eq. 10)."""
    return float(np.sqrt(np.square(np.asarray(terms, dtype=np.float64)).sum()))


def reading_mm(spec: SpreadSpec) -> float:
    """Spread of one caliper reading without the instrument's own error: the hand and the last digit."""
    return combined([spec.calipers_mm, rectangular(spec.step_mm / 2)])


def caliper_limit_mm(length_mm: float) -> float:
    """Half width of the instrument's own error at a length; the same for all readings of one pair."""
    return CALIPER_LIMIT_MM if length_mm <= 100.0 else LONG_CALIPER_LIMIT_MM


def inside_error(printer: PrinterSpec, spec: SpreadSpec) -> InsideError:
    """What is believed of the printer; an inside error of 0 without a spread of its own is not measured."""
    measured = spec.inside_mm is not None or printer.inside_error_mm != 0.0
    if not measured:
        return InsideError(
            expected_mm=UNMEASURED_INSIDE_MM, spread_mm=UNMEASURED_INSIDE_SPREAD_MM, measured=False
        )
    spread = MEASURED_INSIDE_SPREAD_MM if spec.inside_mm is None else spec.inside_mm
    return InsideError(expected_mm=printer.inside_error_mm, spread_mm=spread, measured=True)
