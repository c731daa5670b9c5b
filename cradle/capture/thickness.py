"""The thickness of what lies on the paper, taken out of its outline.

A lens h above the paper sees a point t above it where the paper is further
from the foot F of the lens: ``p = F + (x - F) k`` with ``k = h / (h - t)``,
whatever the lean of the view (similar triangles). A line drawn on the upper
face is all up there, so it is drawn together about F by 1/k.

Of a piece both faces and the cut edge between them are seen, all taken to be
of one colour. Edges that face away from the foot show the upper face, edges
that face the foot the lower one: what is seen, S, is the piece P and all that
lies between P and P drawn apart by k. So ``P = S ∩ S/k`` about F, exact where
no part is thinner than the shift, t/h of the distance from the foot.

On a scanner nothing of this happens: it looks straight down everywhere, or
nearly so, and the face that is measured lies on the glass.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.calibration.calibration import raised_scale_error
from cradle.calibration.camera import NO_SCANNER_DEG, Viewpoint, viewpoint
from cradle.calibration.picture_view import focal_share
from cradle.calibration.scale import ScaleKind
from cradle.capture_sheet.sheet_reading import tilt_deg
from cradle.errors import CaptureError
from cradle.finding import Finding, doubt, in_unit, note
from cradle.geometry.arrays import Floats, following, frozen
from cradle.geometry.planar import common, made_sound, outer_rings, regions, scaled, shifted
from cradle.geometry.ring import signed_area
from cradle.geometry.vectors import cross
from cradle.noun import record
from cradle.project.picture import PictureSource, Traced

if TYPE_CHECKING:
    from cradle.pictures.image import Picture
    from cradle.scale.scale_choice import Scales

_MOST_SHARE: Final = 0.25
"""Greatest thickness of a piece, as part of the lens's height; a thicker one is no template."""
_EXAMPLE_MM: Final = 1.0
_SUPPOSED_MM: Final = 0.3
"""Thickness assumed where none is told: the middle of what templates are cut from, paper to the card of boxes, 0 to 0.6 mm (common
practice, no source)."""
_THIN_MM: Final = 0.3
"""How far that may be off either way, evenly spread; a thickness stated as 0 too, as thin card may be called 0 mm thick."""
_CALIPER_MM: Final = 0.05
_TOLD_HEIGHT: Final = 0.03
"""Relative standard uncertainty of a lens's height that is more than a guess at a usual lens."""


@record
class Raised:
    """How far above the paper the traced face was, and where the lens was.

    ``spread_mm`` is the standard uncertainty of that thickness, with what the lens's height leaves open expressed as thickness.
    """

    thickness_mm: float
    spread_mm: float
    lens: Viewpoint

    @property
    def shrink(self) -> float:
        """1/k: true lengths on the upper face to those measured on the paper."""
        return 1.0 - self.thickness_mm / self.lens.height_mm

    def lowered_line(self, ring_mm: Floats) -> Floats:
        """A line drawn on the upper face, at its true size, ``(n, 2)``, mm."""
        if not self.thickness_mm:
            return ring_mm
        foot = np.array(self.lens.foot_mm)
        return np.asarray(foot + (ring_mm - foot) * self.shrink)

    def lowered_piece(self, ring_mm: Floats) -> Floats:
        """The outline of a piece without what its thickness adds, ``(m, 2)``, mm."""
        if not self.thickness_mm:
            return ring_mm
        foot = np.array(self.lens.foot_mm)
        seen = shifted(made_sound(regions([ring_mm]))[0], -foot)  # a ragged edge may cross itself
        rings = outer_rings(common(seen, scaled(seen, self.shrink)))
        return ring_mm if not rings else frozen(rings[0] + foot)

    def uncertainty_mm(self, ring_mm: Floats) -> float:
        """The standard uncertainty of the edge's place because of its height, mm.

        The spread of the height; and where edges face the foot, whether the cut edge looks like the face: if it
        does not, the upper face ends there, anywhere from 0 to the whole shift inwards.
        """
        away = ring_mm - self.lens.foot_mm
        spread = np.sqrt((away**2).sum(axis=1).mean()) * self.spread_mm
        along = following(away) - away
        middle = away + along / 2
        turned = np.sign(signed_area(ring_mm)) * cross(middle, along)
        length = np.maximum(np.hypot(*along.T), 1e-12)
        facing = np.maximum(-turned / length, 0.0) * self.thickness_mm
        # uniform from 0 on (JCGM 101:2008, 6.4.2)
        cut = np.sqrt((length * facing**2).sum() / length.sum() / 3.0)
        return float(np.hypot(spread, cut) / self.lens.height_mm)


def raised(
    picture: Picture, spec: PictureSource, scales: Scales
) -> tuple[Raised | None, tuple[Finding, ...]]:
    """The correction for a piece's thickness, None where no lens looked aslant at it, and what is told.

    Parameters
    ----------
    spec : PictureSource
        ``thickness_mm``, and ``distance_mm`` where it is stated.
    scales : Scales
        The one used must hold on the paper itself: the capture sheet's, or a card's whose own
        thickness is out already. A rule's marks lie at a height that nobody told.

    Raises
    ------
    CaptureError
        If the piece is as thick as the lens was high.
    """
    lean = tilt_deg(scales.calibration, size_px=picture.size_px)
    if not (scales.camera or lean > NO_SCANNER_DEG):
        return None, ()
    on_paper = scales.used.kind is ScaleKind.SHEET or (
        scales.used.kind is ScaleKind.BANK_CARD and spec.distance_mm is not None
    )
    if not on_paper:
        return None, (_no_plane(scales, spec, picture.file),) if spec.thickness_mm else ()
    lens = viewpoint(scales.calibration, picture, tilt_deg=lean, distance_mm=spec.distance_mm)
    if not spec.thickness_mm:
        open_ = spec.thickness_mm is None and spec.shape is not Traced.LINE
        supposed_mm = min(_SUPPOSED_MM, _MOST_SHARE * lens.height_mm) if open_ else 0.0
        return Raised(thickness_mm=supposed_mm, spread_mm=_THIN_MM / np.sqrt(3.0), lens=lens), (
            (_untold(lens, picture.file),) if open_ else ()
        )
    if spec.thickness_mm > _MOST_SHARE * lens.height_mm:
        raise CaptureError(
            f"a piece {spec.thickness_mm:g} mm thick lay {lens.height_mm:.0f} mm below the lens,"
            f" at most {100 * _MOST_SHARE:g} % of that is allowed",
            where=picture.file,
            hint="give the thickness of the template in mm",
        )
    by_height = spec.thickness_mm * (focal_share(picture) if lens.supposed else _TOLD_HEIGHT)
    spread_mm = float(np.hypot(_CALIPER_MM, by_height))
    above = Raised(thickness_mm=spec.thickness_mm, spread_mm=spread_mm, lens=lens)
    return above, (_told(spec.thickness_mm, lens, picture.file),)


def _told(thickness_mm: float, lens: Viewpoint, where: str) -> Finding:
    percent = 100 * raised_scale_error(thickness_mm, distance_mm=lens.height_mm)
    return note(
        "thickness-taken-out",
        f"the piece's upper face, {thickness_mm:g} mm above the paper, looks {percent:.2f} % larger to a lens"
        f" {lens.height_mm:.0f} mm above the paper; this was corrected (height from {lens.told_by})",
        "if the camera zoomed in, give the lens's distance from the paper (distance)"
        if lens.supposed
        else "",
        where=where,
        **in_unit("%", percent),
    )


def _untold(lens: Viewpoint, where: str) -> Finding:
    percent = 100 * raised_scale_error(_EXAMPLE_MM, distance_mm=max(lens.height_mm, 2 * _EXAMPLE_MM))
    return note(
        "thickness-not-told",
        f"the piece is taken to be {_SUPPOSED_MM:g} mm thick, as card is; in this picture it appears {percent:.2f} % too large"
        " for each mm of its thickness, or by which it stands up",
        "lay it flat; if it is thicker than card, or paper, give its thickness; 0 for paper",
        where=where,
        **in_unit("%", percent),
    )


def _no_plane(scales: Scales, spec: PictureSource, where: str) -> Finding:
    kind = scales.used.kind
    hint = (
        "give the lens's distance from the paper (distance)"
        if kind is ScaleKind.BANK_CARD
        else "use the capture sheet, or lay the scale as high as the piece's upper face and leave thickness out"
    )
    return doubt(
        "thickness-not-used",
        f"the thickness of {spec.thickness_mm:g} mm was not corrected for: nothing tells how high above"
        f" the paper the scale of the {scales.used.told} lies",
        hint,
        where=where,
    )
