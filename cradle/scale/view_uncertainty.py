"""How surely lengths on the paper are known at a place in a picture, along x and along y.

The scale used is sure where its known lengths lie. Away from them, and across
them, a scanner's two directions may differ, and a camera may lean: a view off
vertical by an angle t sees what lies a distance d up the slope nearer by d sin t,
and so larger by d sin t / D, D the distance of the lens; along the slope it
shortens by 1 - cos t. The spreads are combined as in JCGM 100:2008 (GUM), 5.1.2.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.finding import Finding, Severity
from cradle.scale.camera import FILM_DIAGONAL_MM, USUAL_FOCAL_MM
from cradle.scale.scale import ScaleKind
from cradle.scale.unverified_axis import CODE, USUAL_PERCENT, unchecked_way

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cradle.geometry.arrays import Floats
    from cradle.pictures.image import Picture
    from cradle.scale.scale_sources import Scales

LEAN_DEG: Final = 3.0
"""Standard deviation, along each axis, of how far a camera held level by hand is off vertical (common practice, no source)."""
_LENS_SHARE: Final = 0.003
"""Standard uncertainty that an untold lens adds: it moves what lies half way out by this part of its distance."""
_ALONG_ONE_LINE: Final = (ScaleKind.RULER, ScaleKind.POINTS, ScaleKind.TAG, ScaleKind.GIVEN)
_TOLD: Final = 0.005
"""Twice the standard uncertainty is told from here on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleUncertainty:
    """Relative standard uncertainty of a length along x and along y, and the part of it that the view adds."""

    share: tuple[float, float]
    by_view: float = 0.0


def seen_by_camera(picture: Picture) -> bool:
    """Whether a camera may have taken the picture: it says so, or it lacks what a scanner tells."""
    return picture.by_camera or picture.resolution.dpi is None


def scale_uncertainty(scales: Scales, picture: Picture, *, ring_px: Floats) -> ScaleUncertainty:
    """How surely lengths of a piece are known.

    Parameters
    ----------
    scales : Scales
    picture : Picture
    ring_px : (n, 2)
        The piece's outline.
    """
    used = scales.used
    own = used.calibration.uncertainty_scale
    across = unchecked_way(used, scales.found)
    if used.kind not in _ALONG_ONE_LINE:
        return ScaleUncertainty(share=(own, own))
    if not seen_by_camera(picture):
        if across is None:
            return ScaleUncertainty(share=(own, own))
        other = USUAL_PERCENT / 100 / np.sqrt(3.0)
        x, y = (float(np.hypot(own, other * abs(part))) for part in across)
        return ScaleUncertainty(share=(x, y))
    by_view = _by_view(scales, picture, ring_px)
    total = float(np.hypot(own, by_view))
    return ScaleUncertainty(share=(total, total), by_view=by_view)


def _by_view(scales: Scales, picture: Picture, ring_px: Floats) -> float:
    """What a lean and a lens that nothing tells add to the uncertainty of lengths, as a ratio.

    Known lengths across one another show half of what a lean does.
    """
    used = scales.used
    focal_film = picture.focal_film_mm if picture.focal_film_mm is not None else USUAL_FOCAL_MM
    focal_px = focal_film / FILM_DIAGONAL_MM * float(np.hypot(*picture.size_px))
    middle = ring_px.mean(axis=0)
    known = used.ends_px.reshape(-1, 2)
    apart_px = float(np.hypot(*(middle - known.mean(axis=0)))) if len(known) else 0.0
    lean = np.radians(LEAN_DEG)
    # D in px is the focal length: both distances are in px of the same paper
    away, short = float(np.sin(lean)) * apart_px / focal_px, float(1 - np.cos(lean)) * np.sqrt(3.0)
    if unchecked_way(used, scales.found) is None and len(known):
        away, short = away / 2, short / 2
    return float(np.sqrt(away**2 + short**2 + _LENS_SHARE**2))


def view_doubt(
    findings: Sequence[Finding], uncertainties: Sequence[ScaleUncertainty], *, where: str
) -> tuple[Finding, ...]:
    """The findings of a picture, with a warning in figures where nothing tells how the camera leaned."""
    worst = max((u.by_view for u in uncertainties), default=0.0)
    if 2 * worst < _TOLD:
        return tuple(findings)
    percent = 200 * worst
    warning = Finding(
        code=CODE,
        severity=Severity.WARN,
        message="the scale is known where the ruler lies, and how the camera leaned is not known: sizes of the"
        f" piece can be off by {percent:.1f} % (a view {LEAN_DEG:g}° off vertical, and a lens that bends lines)",
        where=where,
        measured=percent,
        limit=100 * _TOLD,
        unit="%",
        advice="use the capture sheet, lay rulers on two sides close to the piece, or take calipers both ways",
    )
    return (*(f for f in findings if f.code != CODE), warning)
