"""What tracing gives: a picture, its scales, its outlines."""

from __future__ import annotations

import numpy as np

from cradle.errors import CaptureError
from cradle.finding import Finding
from cradle.geometry.arrays import Floats
from cradle.noun import noun
from cradle.pictures.border import Border
from cradle.pictures.grain import Grain
from cradle.pictures.image import Picture
from cradle.scale.scale_choice import Scales


@noun
class TracedPiece:
    """One traced outline.

    ``ring_mm (n, 2)`` lies where it does on the paper; ``ring_px`` in the picture.
    ``line_width_mm`` belongs to a drawn line. An open ring is closed by its chord.
    """

    number: int
    ring_mm: Floats
    ring_px: Floats
    chord_px: Floats | None = None
    """Ends of a notch's mouth, ``(2, 2)``."""
    cut_px: Floats | None = None
    """The notch alone, where it lies in the picture."""
    open_ends: bool = False
    no_notch: CaptureError | None = None
    """What is wrong with it where a notch is meant."""
    quarters: int = 0
    """How many quarter turns, counter-clockwise, bring a levelled notch back to about where it lay on the paper."""
    line_width_mm: float | None = None
    edge_mm: float = 0.0
    """Standard uncertainty of the edge's place, square to it."""
    scale_share: tuple[float, float] = (0.0, 0.0)
    """Relative standard uncertainty of lengths along x and along y: 0.001 is 0.1 mm on 100."""
    unsure_px: Floats | None = None
    """Where the outline is least sure, the least sure place first, ``(k, 2)`` px."""
    cut_off_at: tuple[Border, ...] = ()
    """The borders of the picture that it reaches."""
    findings: tuple[Finding, ...] = ()
    """Without a place: `told_once` names the piece."""

    @property
    def shown_px(self) -> Floats:
        """What was measured: the notch, else the whole outline, ``(n, 2)`` px."""
        return self.ring_px if self.cut_px is None else self.cut_px

    @property
    def size_mm(self) -> tuple[float, float]:
        """Largest extents along x and y."""
        width, depth = np.ptp(self.ring_mm, axis=0)
        return float(width), float(depth)


@noun
class TracedPicture:
    """What a picture gives: its pieces and scales, and what is doubtful about the pieces' size and about their form."""

    picture: Picture
    scales: Scales
    pieces: tuple[TracedPiece, ...]
    grain: Grain
    size_findings: tuple[Finding, ...]
    form_findings: tuple[Finding, ...]

    @property
    def findings(self) -> tuple[Finding, ...]:
        """The findings on size, then those on form."""
        return self.size_findings + self.form_findings
