"""One source of scale in a picture: the calibration it gives, and the known lengths it rests on."""

from __future__ import annotations

from dataclasses import field, replace
from enum import StrEnum
from typing import Final

import numpy as np

from cradle.calibration.calibration import Calibration, lengths_mm, scale_difference
from cradle.calibration.picture_view import Known
from cradle.finding import Finding
from cradle.geometry.arrays import Floats, frozen
from cradle.noun import noun

OBLIQUE: Final = "view-oblique"
"""Told of marks that draw together along a rule."""
FROM_TAG: Final = "scale-from-tag"
"""Told of a picture whose file alone says how large it is."""
ON_GLASS: Final = "taken-for-scan"
"""Told of a picture that is lit and seen as a scanner's, though its file does not say so."""
DISAGREE: Final = 0.005
"""Sources that differ by more are told."""


class ScaleKind(StrEnum):
    """Where a scale comes from, the most trusted first. Paper edges are never a scale."""

    SUPPOSED = "supposed"
    """An assumed size of a pixel, where an outline of any size will do."""
    GIVEN = "given"
    """A number stated on purpose; used whatever else there is."""
    SHEET = "sheet"
    """Marks all round, printed size checked, perspective and lens taken out."""
    POINTS = "points"
    """Two points and a length read by a person."""
    RULER = "ruler"
    """Many marks, but along one line only."""
    BANK_CARD = "bank card"
    """Short, and a little above the paper."""
    TAG = "tag"
    """What the file claims; nobody has measured it."""

    @property
    def named(self) -> str:
        """As a noun, for messages."""
        return "stated scale" if self is ScaleKind.GIVEN else self.value


@noun
class Scale:
    """A source of scale.

    Attributes
    ----------
    ends_px : (k, 2, 2) float64
        Both ends of each known length, where they are in the picture.
    known_mm : (k,) float64
        The lengths.
    region_px : (n, 2) float64 or None
        What the thing that carries them covers; not traced.
    told : str
        In words, such as "ruler, 151 marks of 1 mm".
    known : Known or None
        What it tells of the view; None of a number, and of the sheet, which tells all of it by itself.
    marks_px : (m, 2) float64
        Places to show in the check picture.
    """

    kind: ScaleKind
    calibration: Calibration
    told: str
    ends_px: Floats = field(default_factory=lambda: frozen([]).reshape(0, 2, 2))
    known_mm: Floats = field(default_factory=lambda: frozen([]))
    known: Known | None = None
    region_px: Floats | None = None
    marks_px: Floats = field(default_factory=lambda: frozen([]).reshape(0, 2))
    findings: tuple[Finding, ...] = ()

    @property
    def place(self) -> str:
        """Where in the picture it is, in words."""
        x, y = self.marks_px.mean(axis=0).tolist()
        return f"near x {x:.0f}, y {y:.0f} px"

    @property
    def px_per_mm(self) -> float:
        """How many pixels a millimetre covers along the first of its known lengths."""
        return float(np.hypot(*(self.ends_px[0, 1] - self.ends_px[0, 0])) / self.known_mm[0])

    def doubted(self, share: float, why: Finding) -> Scale:
        """The scale less sure by one more relative standard uncertainty, with the finding that says why."""
        whole = float(np.hypot(self.calibration.uncertainty_scale, share))
        known = self.known and replace(self.known, share=float(np.hypot(self.known.share, share)))
        return replace(
            self,
            calibration=replace(self.calibration, uncertainty_scale=whole),
            known=known,
            findings=(*self.findings, why),
        )


def measured_difference(used: Scale, other: Scale) -> tuple[float, float]:
    """How much longer ``used`` measures than ``other``, as a ratio less 1, and over what length, mm."""
    if len(other.known_mm):
        measured = lengths_mm(used.calibration, other.ends_px)
        off = measured / other.known_mm - 1
    elif len(used.known_mm):
        measured = lengths_mm(other.calibration, used.ends_px)
        off = used.known_mm / measured - 1
    else:
        off = np.array(scale_difference(used.calibration, other.calibration, at_px=(0.0, 0.0)))
        measured = np.full(len(off), np.nan)
    worst = int(np.abs(off).argmax())
    return float(off[worst]), float(measured[worst])
