"""How surely lengths of a piece are known, along x and along y, and what is told where the view leaves them open.

The scale used is sure where its known lengths lie. Away from them, and across
them, a scanner's two directions may differ, and a camera may lean and its
lens may bend lines: `cradle.calibration.picture_view` says how much of that the known
lengths leave open. A ruler's face lies higher than the paper, and is seen larger for it.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.calibration.calibration import raised_scale_error, to_mm
from cradle.calibration.picture_view import LEAN_DEG, length_shares
from cradle.calibration.scale import ScaleKind
from cradle.finding import Finding, in_mm, note
from cradle.noun import record
from cradle.scale.hollow_rule import HOLLOW_MM, seems_hollow
from cradle.scale.scale_comparison import RULERS_DISAGREE
from cradle.scale.unverified_axis import CODE

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cradle.calibration.picture_view import PictureView
    from cradle.calibration.scale import Scale
    from cradle.geometry.arrays import Floats
    from cradle.scale.scale_choice import Scales

_FACE_MM: Final = float(np.sqrt((0.5**2 + 0.5 * 2.5 + 2.5**2) / 3.0))
"""Root mean square of how high a ruler's face lies, steel or wood, evenly from 0.5 to 2.5 mm (common practice, no source)."""
_TOLD_MM: Final = 0.6
"""From here on twice the standard uncertainty of a length in a camera's picture is told, and can be a warning: half of it at either
end is most of a usual clearance."""


@record
class ScaleUncertainty:
    """How surely lengths of a piece are known.

    Attributes
    ----------
    share : (2,) float
        Relative standard uncertainty of a length along x and along y.
    by_view, long_mm : float
        The part of ``share`` that the view leaves open, and the piece's extent, along x or y, wherever their product is larger.
    """

    share: tuple[float, float]
    by_view: float = 0.0
    long_mm: float = 0.0

    @property
    def by_view_mm(self) -> float:
        """Standard uncertainty of that extent by the view."""
        return self.by_view * self.long_mm


def scale_uncertainty(scales: Scales, *, ring_px: Floats) -> ScaleUncertainty:
    """How surely lengths of a piece are known.

    Parameters
    ----------
    ring_px : (n, 2)
        The piece's outline.
    """
    if scales.view is None:
        own = scales.used.calibration.uncertainty_scale
        return ScaleUncertainty(share=(own, own))
    x, y = length_shares(scales.view, ring_px)
    by_rule = scales.used.kind is ScaleKind.RULER and scales.camera
    face = _by_face(scales.view, scales.members) if by_rule else 0.0
    share = (float(np.hypot(x, face)), float(np.hypot(y, face)))
    wide, deep = np.ptp(to_mm(scales.calibration, ring_px), axis=0).tolist()
    by_view, long_mm = max((x, wide), (y, deep), key=lambda each: each[0] * each[1])
    return ScaleUncertainty(share=share, by_view=by_view, long_mm=long_mm)


def _by_face(view: PictureView, members: Sequence[Scale]) -> float:
    """Relative standard uncertainty of lengths on the paper because a ruler's face lies higher, so that a lens sees it larger."""
    face_mm = HOLLOW_MM if seems_hollow(view, members) else _FACE_MM
    return raised_scale_error(face_mm, distance_mm=max(view.distance_mm, 2 * face_mm))


def view_doubt(
    scales: Scales, uncertainties: Sequence[ScaleUncertainty], *, where: str
) -> tuple[Finding, ...]:
    """The findings on a picture's scale, with how far lengths may be off by what its view leaves open; in a camera's picture only where a fit would feel it.

    Whether they do is known once the readings are (`cradle.capture.by_readings.judged_by_calipers`).
    """
    if scales.view is None or not uncertainties:
        return scales.findings
    worst = max(uncertainties, key=lambda each: each.by_view_mm)
    off_mm = 2 * worst.by_view_mm
    figures = in_mm(off_mm, limit=_TOLD_MM)
    over = f"{off_mm:.1f} mm over {worst.long_mm:.0f} mm"
    if not scales.camera:
        return tuple(
            replace(f, message=f"{f.message}, {over}", **figures) if f.code == CODE else f
            for f in scales.findings
        )
    others = tuple(f for f in scales.findings if f.code != CODE)  # a camera's pixels are square
    if off_mm < _TOLD_MM or any(f.code == RULERS_DISAGREE for f in others):
        return others
    told = note(
        CODE,
        f"{_where_known(scales)} sizes of the piece can be off by {200 * worst.by_view:.1f} %, {over} (a camera held by"
        f" hand leans by {LEAN_DEG:g}°, and lenses bend lines)",
        f"{_cure(scales)}, or measure both ways with calipers",
        where=where,
        **figures,
    )
    return (*others, told)


def _where_known(scales: Scales) -> str:
    """Where the scale is known, and what begins where it is not."""
    lines = sum(len(member.known.rows) for member in scales.members if member.known is not None)
    if lines == 1:
        place = "two points lie" if scales.used.kind is ScaleKind.POINTS else "ruler lies"
        return f"the scale is known where the {place}; further away,"
    if lines:
        return "the known lengths show only in part how the camera leaned:"
    return "nothing in the picture shows how the camera leaned:"


def _cure(scales: Scales) -> str:
    """What would show the rest of the view, in words, depending on what the picture shows already."""
    rulers = sum(member.kind is ScaleKind.RULER for member in scales.members)
    if rulers == 1:
        return "lay a second ruler across the first, along another side of the piece"
    if rulers:
        return "lay the rulers close to the piece, along two of its sides"
    return "use the capture sheet, or lay two rulers along two sides of the piece"
