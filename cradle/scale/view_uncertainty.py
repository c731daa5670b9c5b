"""How surely lengths of a piece are known, along x and along y, and what is told where the view leaves them open.

The scale used is sure where its known lengths lie. Away from them, and across
them, a scanner's two directions may differ, and a camera may lean and its
lens may bend lines: `cradle.calibration.picture_view` says how much of that the known
lengths leave open. A ruler's face lies higher than the paper, and is seen larger for it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.calibration.calibration import raised_scale_error
from cradle.calibration.picture_view import LEAN_DEG, length_shares
from cradle.calibration.scale import ScaleKind
from cradle.finding import Finding, doubt, in_unit
from cradle.noun import record
from cradle.scale.scale_comparison import RULERS_DISAGREE
from cradle.scale.unverified_axis import CODE

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cradle.calibration.picture_view import PictureView
    from cradle.geometry.arrays import Floats
    from cradle.scale.scale_choice import Scales

_FACE_MM: Final = float(np.sqrt((0.5**2 + 0.5 * 2.5 + 2.5**2) / 3.0))
"""Root mean square of how high a ruler's face lies, steel or wood, evenly from 0.5 to 2.5 mm (common practice, no source)."""
_TOLD: Final = 0.012
"""Twice the standard uncertainty is told from here on: 0.36 mm at either edge of a piece 60 mm long.

Beside a card lengths were off by half of what is stated, rms, in rendered pictures."""


@record
class ScaleUncertainty:
    """Relative standard uncertainty of a length along x and along y; ``by_view`` is the larger of what a camera's view causes."""

    share: tuple[float, float]
    by_view: float = 0.0


def scale_uncertainty(scales: Scales, *, ring_px: Floats) -> ScaleUncertainty:
    """How surely lengths of a piece are known.

    Parameters
    ----------
    scales : Scales
    ring_px : (n, 2)
        The piece's outline.
    """
    if scales.view is None:
        own = scales.used.calibration.uncertainty_scale
        return ScaleUncertainty(share=(own, own))
    x, y = length_shares(scales.view, ring_px)
    face = _by_face(scales.view) if scales.used.kind is ScaleKind.RULER else 0.0
    share = (float(np.hypot(x, face)), float(np.hypot(y, face)))
    return ScaleUncertainty(share=share, by_view=max(x, y) if scales.camera else 0.0)


def _by_face(view: PictureView) -> float:
    """Relative standard uncertainty of lengths on the paper as a ruler's face lies higher, and a lens sees it larger."""
    if not view.by_camera:
        return 0.0
    return raised_scale_error(_FACE_MM, distance_mm=max(view.distance_mm, 2 * _FACE_MM))


def view_doubt(
    scales: Scales, uncertainties: Sequence[ScaleUncertainty], *, where: str
) -> tuple[Finding, ...]:
    """The findings on a picture's scale, with a warning in figures where the view leaves lengths open."""
    worst = max((u.by_view for u in uncertainties), default=0.0)
    if not scales.camera or scales.view is None:
        return scales.findings
    others = tuple(f for f in scales.findings if f.code != CODE)  # a camera's pixels are square
    if 2 * worst < _TOLD or any(f.code == RULERS_DISAGREE for f in others):
        return others
    percent = 200 * worst
    lines = sum(len(member.known.rows) for member in scales.members if member.known is not None)
    if lines == 1:
        place = "two points lie" if scales.used.kind is ScaleKind.POINTS else "ruler lies"
        where_known = f"the scale is known where the {place}; further away,"
    elif lines:
        where_known = "the known lengths show only in part how the camera leaned:"
    else:
        where_known = "nothing in the picture shows how the camera leaned:"
    warning = doubt(
        CODE,
        f"{where_known} sizes of the piece can be off by {percent:.1f} % (a camera held by"
        f" hand leans by {LEAN_DEG:g}°, and lenses bend lines)",
        f"{_cure(scales)}, or measure both ways with calipers",
        where=where,
        **in_unit("%", percent, limit=100 * _TOLD),
    )
    return (*others, warning)


def _cure(scales: Scales) -> str:
    """What shows the rest of the view, by what the picture shows already."""
    rulers = sum(member.kind is ScaleKind.RULER for member in scales.members)
    if rulers == 1:
        return "lay a second ruler across the first, along another side of the piece"
    if rulers:
        return "lay the rulers close to the piece, along two of its sides"
    return "use the capture sheet, or lay two rulers along two sides of the piece"
