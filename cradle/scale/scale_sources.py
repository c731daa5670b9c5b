"""The sources of scale that a picture may have, each by itself: a number, points, the sheet, a resolution tag.

Edges of paper are never a scale: ISO 216:2007 allows A4 to be off by 2 mm in
297, and paper moves with the damp.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.calibration.calibration import from_scale, to_px
from cradle.calibration.picture_view import Known, MarkRow
from cradle.calibration.scale import Scale, ScaleKind
from cradle.errors import CaptureError, located
from cradle.geometry.arrays import following, frozen
from cradle.project.picture import PictureOfAnySize, PictureSource
from cradle.units import MM_PER_INCH

if TYPE_CHECKING:
    from cradle.pictures.image import Picture

_SUPPOSED_MM: Final = 0.1
"""Length of a pixel that is assumed where nobody needs to know it: about that in a picture filled by one thing."""
_TAG: Final = 0.005
"""Relative standard uncertainty of what a scanner's file claims (common practice, no source)."""
_POINTS: Final = 1e-4
"""Relative standard uncertainty of a length that a person states as true."""
_READ_PX: Final = 1.0
"""How well a person points at a mark, px."""
_RIM_POINTS: Final = 8
"""Points along each side of the capture sheet's middle: a lens bends it."""


def tag_scale(picture: Picture) -> Scale | None:
    """The scale that the file's resolution tag states, or None."""
    tag = picture.resolution.mm_per_px
    if tag is None or picture.resolution.dpi is None:
        return None
    x, y = picture.resolution.dpi
    dpi = f"{x:.4g} dpi" if abs(x / y - 1) < 1e-6 else f"{x:.4g} x {y:.4g} dpi"
    return Scale(
        kind=ScaleKind.TAG,
        calibration=from_scale(
            *tag, height_px=picture.size_px[1], source="resolution tag", uncertainty_scale=_TAG
        ),
        told=f"resolution tag ({picture.resolution.told_by}), {dpi}",
        known=_everywhere(*tag, picture, share=_TAG),
    )


def given_scale(spec: PictureSource, picture: Picture) -> Scale | None:
    """The scale that the project states as a number, or an assumed one where nobody needs to know it, or None."""
    kind = ScaleKind.GIVEN
    if isinstance(spec, PictureOfAnySize):
        mm, kind, told = _SUPPOSED_MM, ScaleKind.SUPPOSED, "none was found"
    elif spec.mm_per_px is not None:
        mm, told = spec.mm_per_px, f"stated scale, {spec.mm_per_px:.6g} mm per px"
    elif spec.dpi:
        mm, told = MM_PER_INCH / spec.dpi, f"stated scale, {spec.dpi:g} dpi"
    else:
        return None
    return Scale(
        kind=kind,
        calibration=from_scale(mm, mm, height_px=picture.size_px[1], source="given scale"),
        told=told,
        known=_everywhere(mm, mm, picture, share=0.0),
    )


def points_scale(spec: PictureSource, picture: Picture) -> Scale | None:
    """The scale from two points and their distance, or None when they are not given.

    Raises
    ------
    CaptureError
        If they are one point, or lie outside the picture.
    """
    if spec.from_px is None or spec.to_px is None or spec.apart_mm is None:
        return None
    ends = frozen([spec.from_px, spec.to_px])
    width, height = picture.size_px
    if ((ends < -0.5) | (ends > [width - 0.5, height - 0.5])).any():
        raise CaptureError(
            f"the two points must lie in the picture of {width} x {height} px",
            where=f"{picture.file}: from, to",
        )
    ratio = picture.resolution.height_by_width
    apart = float(np.hypot(*((ends[1] - ends[0]) * [1.0, ratio])))
    if apart < 50:
        raise CaptureError(
            f"the two points are {apart:.0f} px apart, at least 50 are needed",
            where=f"{picture.file}: from, to",
            hint="choose marks that are far apart",
        )
    x = spec.apart_mm / apart
    return Scale(
        kind=ScaleKind.POINTS,
        calibration=from_scale(
            x,
            x * ratio,
            height_px=height,
            source="two points",
            residual_mm=[0.0],
            uncertainty_scale=_READ_PX * np.sqrt(2.0) / apart,
        ),
        told=f"two points, {spec.apart_mm:g} mm apart",
        ends_px=frozen(ends[None]),
        known_mm=frozen([spec.apart_mm]),
        known=Known(
            rows=(MarkRow(at_px=ends, along_mm=frozen([0.0, spec.apart_mm]), spread_px=_READ_PX),),
            share=_POINTS,
        ),
        marks_px=ends,
    )


def _everywhere(mm_per_px_x: float, mm_per_px_y: float, picture: Picture, *, share: float) -> Known:
    """A scale stated as a number, as two known lengths: one across the middle of the picture and one up it."""
    width, height = picture.size_px
    rows = [
        MarkRow(
            at_px=frozen(np.array([[(width - 1) / 2, (height - 1) / 2]]) + np.outer([-0.5, 0.5], step)),
            along_mm=frozen([0.0, length]),
            spread_px=1e-3 * float(np.abs(step).max()),
        )
        for step, length in (
            ((width / 2, 0.0), mm_per_px_x * width / 2),
            ((0.0, height / 2), mm_per_px_y * height / 2),
        )
    ]
    return Known(rows=tuple(rows), share=share)


def sheet_scale(spec: PictureSource, picture: Picture) -> tuple[Scale | None, str]:
    """The scale from the capture sheet, or None and why.

    Raises
    ------
    CaptureError
        If the sheet is there but cannot be trusted.
    """
    from cradle.capture_sheet.sheet_marks import shows_markers

    if not shows_markers(picture.grey):
        return None, "no capture sheet"
    from cradle.capture_sheet.sheet import CHECK_LENGTH_MM, middle_mm
    from cradle.capture_sheet.sheet_paper import print_doubt
    from cradle.capture_sheet.sheet_reading import read_sheet

    check = spec.check_mm if spec.check_mm is not None else CHECK_LENGTH_MM
    with located(picture.file):
        sheet = read_sheet(picture.grey, check_reads_mm=check)
    x0, y0, x1, y1 = np.array(middle_mm(sheet.design)) * (check / CHECK_LENGTH_MM)
    middle = np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])
    rim = [
        np.linspace(a, b, _RIM_POINTS, endpoint=False) for a, b in zip(middle, following(middle), strict=True)
    ]
    corners = sheet.corners_mm
    far = [int(np.argmin(corners @ np.array(d))) for d in ((1, 1), (-1, 1), (-1, -1), (1, -1))]
    # of a sheet seen in part two far corners may be one
    pairs = [(far[k - 1], far[k]) for k in range(4) if far[k] != far[k - 1]]
    return Scale(
        kind=ScaleKind.SHEET,
        calibration=sheet.calibration,
        told=f"capture sheet {sheet.design.name}, {len(corners)} corners",
        ends_px=frozen([[sheet.corners_px[a], sheet.corners_px[b]] for a, b in pairs]),
        known_mm=frozen([np.hypot(*(corners[a] - corners[b])) for a, b in pairs]),
        region_px=frozen(to_px(sheet.calibration, np.concatenate(rim))),
        marks_px=sheet.corners_px,
        findings=(*sheet.findings, *print_doubt(picture.grey, sheet)),
    ), ""
