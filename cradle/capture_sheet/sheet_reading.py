"""The capture sheet in a picture: what its marks tell of scale, tilt and sharpness.

Markers say which place is which; a first fit to their corners foretells the
chess corners, which are then found to a small part of a pixel and fitted with
the lens. Only places next to a marker that was read are looked at, so a hand
or a template on the band costs marks, not truth.
"""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np

from cradle.calibration.calibration import Calibration, to_mm
from cradle.capture_sheet.lens_fit import fit_lens
from cradle.capture_sheet.sheet import CHECK_LENGTH_MM, SheetDesign, chess_corners
from cradle.capture_sheet.sheet_marks import chess_places, edge_width_mm, find_markers, first_map
from cradle.errors import CaptureError
from cradle.finding import Finding, Severity, doubt, in_unit
from cradle.geometry.arrays import Bytes, Floats, frozen
from cradle.noun import noun
from cradle.pictures.light import between_levels_and_light

_MOST_TILT_DEG: Final = 50.0
"""Beyond this, a pixel is half again as long one way as the other and paper's waviness shows."""
_DOUBTFUL_TILT_DEG: Final = 35.0
_MOST_EDGE_MM: Final = 1.6
"""Widest edge, from 10 to 90 % of its step; about there markers cease to be read."""
_DOUBTFUL_EDGE_MM: Final = 1.2
"""A pencil line is hardly wider than half of this."""
_MOST_RESIDUAL_MM: Final = 0.5
_DOUBTFUL_RESIDUAL_MM: Final = 0.15
_LEAST_CORNERS: Final = 12
_LEAST_AGREEING: Final = 0.6
"""Part of the corners sought that must be found in their places; paper with waves loses many."""
_FEW: Final = 0.85
_LEAST_SPREAD: Final = 0.6
"""Part of the band's width and height the corners must span."""
_PAPER: Final = 0.2 / np.sqrt(3.0) / CHECK_LENGTH_MM
"""Relative uncertainty left by reading the check length to ±0.2 mm, evenly spread (common practice)."""


class _Limit(NamedTuple):
    """The largest value allowed of something measured, the message for a larger one, with places for both values, and its hint."""

    most: float
    words: str
    hint: str


_OBLIQUE: Final = _Limit(
    _MOST_TILT_DEG,
    "the view is {:.0f}° off vertical, at most {:g}° is allowed",
    "hold the camera level, straight above the sheet",
)
_BLURRED: Final = _Limit(
    _MOST_EDGE_MM,
    "edges are {:.2f} mm wide, at most {:g} mm is allowed",
    "the picture is blurred: hold still, focus on the paper, add light",
)
_NOT_FLAT: Final = _Limit(
    _MOST_RESIDUAL_MM,
    "the paper is not flat: its marks miss their places by {:.2f} mm, at most {:g} mm is allowed",
    "lay the paper flat on a hard table",
)


@noun
class SheetReading:
    """What a picture of the capture sheet tells.

    Attributes
    ----------
    calibration : Calibration
        Pixels to mm from the sheet's lower left corner.
    design : SheetDesign
        Which sheet it is.
    corners_px, corners_mm : (n, 2) float64
        Chess corners used, where found and where printed.
    stretch : float
        How large it was printed, by what a rule reads on it.
    findings : tuple of Finding
        What is doubtful.
    """

    calibration: Calibration
    design: SheetDesign
    corners_px: Floats
    corners_mm: Floats
    stretch: float
    findings: tuple[Finding, ...]


def read_sheet(grey: Bytes, *, check_reads_mm: float = CHECK_LENGTH_MM) -> SheetReading:
    """The calibration and everything told about the sheet in a picture.

    Parameters
    ----------
    grey : (h, w) uint8
        The picture.
    check_reads_mm : float
        What a rule reads on the print's check length.

    Raises
    ------
    CaptureError
        If too few marks are seen, or the picture is too oblique, too blurred
        or too small, or the paper is not flat; says what to change.
    """
    _refuse_wrong_size(check_reads_mm)
    marks = between_levels_and_light(grey)
    design, found = find_markers(marks)
    size = (grey.shape[1], grey.shape[0])
    first = first_map(design, found, size_px=size)
    _refuse_above(_OBLIQUE, tilt_deg(first, size_px=size))
    edge = edge_width_mm(grey, design, found, first)
    _refuse_above(_BLURRED, edge)
    corners_px, corners_mm, sought = chess_places(marks, design, found, first)
    _refuse_poor_spread(corners_mm, design)
    fit = fit_lens(corners_px, corners_mm, size_px=size)
    used_px, used_mm = corners_px[fit.used], corners_mm[fit.used]
    _refuse_poor_spread(used_mm, design)
    _refuse_few_agreeing(len(used_mm), sought)
    printed = Calibration(mm_from_px=fit.mm_from_px, source="capture sheet", lens=fit.lens)
    tilt = tilt_deg(printed, size_px=size)
    stretch = check_reads_mm / CHECK_LENGTH_MM
    residual = (to_mm(printed, used_px) - used_mm) * stretch
    off = float(np.sqrt((residual**2).sum(axis=1).mean()))
    _refuse_above(_NOT_FLAT, off)
    missed = _missed_mm(printed, used_px, used_mm)
    calibration = Calibration(
        mm_from_px=frozen(np.diag([stretch, stretch, 1.0]) @ printed.mm_from_px),
        source="capture sheet",
        residual_mm=frozen(missed * stretch),
        lens=printed.lens,
        uncertainty_scale=float(np.hypot(fit.scale_uncertainty, _PAPER)),
    )
    return SheetReading(
        calibration=calibration,
        design=design,
        corners_px=frozen(used_px),
        corners_mm=frozen(used_mm * stretch),
        stretch=stretch,
        findings=_doubts(tilt, edge, off, (len(used_mm), sought)),
    )


def tilt_deg(calibration: Calibration, *, size_px: tuple[int, int]) -> float:
    """How far the view is off vertical, degrees.

    Where the lens axis meets the paper, a pinhole camera foreshortens by the
    cosine of the tilt; the axis is taken through the picture's centre.
    """
    x, y = (size_px[0] - 1) / 2, (size_px[1] - 1) / 2
    at = to_mm(calibration, [[x - 1, y], [x + 1, y], [x, y - 1], [x, y + 1]])
    small, large = np.sort(np.linalg.svd(np.array([at[1] - at[0], at[3] - at[2]]), compute_uv=False))
    return float(np.degrees(np.arccos(small / large)))


def _refusal(found: str, *, hint: str) -> CaptureError:
    """An error about the capture sheet."""
    return CaptureError(found, where="capture sheet", hint=hint)


def _refuse_wrong_size(check_reads_mm: float) -> None:
    """Refuse a print whose check length is off by more than a tenth."""
    if not abs(check_reads_mm - CHECK_LENGTH_MM) <= 0.1 * CHECK_LENGTH_MM:
        raise _refusal(
            f"the sheet's line measures {check_reads_mm:g} mm instead of {CHECK_LENGTH_MM:g} mm",
            hint="print the sheet again at 100 %",
        )


def _refuse_above(limit: _Limit, measured: float) -> None:
    """Refuse a picture of which something is more than allowed."""
    if measured > limit.most:
        raise _refusal(limit.words.format(measured, limit.most), hint=limit.hint)


def _refuse_few_agreeing(used: int, sought: int) -> None:
    """Refuse a frame of which too many marks lie elsewhere than printed."""
    if used < _LEAST_AGREEING * sought:
        raise _refusal(
            f"only {used} of {sought} marks of the frame lie where they should",
            hint="lay the paper flat on a hard table and keep the marks uncovered and sharp",
        )


def _refuse_poor_spread(corners_mm: Floats, design: SheetDesign) -> None:
    """Refuse too few corners, or corners on one part of the sheet only."""
    count = len(corners_mm)
    every = chess_corners(design)
    span = np.ptp(corners_mm, axis=0) / np.ptp(every, axis=0) if count else np.zeros(2)
    if count < _LEAST_CORNERS or (span < _LEAST_SPREAD).any():
        raise _refusal(
            f"{count} of {len(every)} marks of the frame were found, over {100 * float(span[0]):.0f} %"
            f" of its width and {100 * float(span[1]):.0f} % of its height;"
            f" {_LEAST_CORNERS} over {100 * _LEAST_SPREAD:.0f} % are needed",
            hint="show the marks on all four sides, uncovered and sharp",
        )


def _missed_mm(printed: Calibration, px: Floats, mm: Floats) -> Floats:
    """How much too long known lengths across the sheet measure, ``(k,)`` mm."""
    at = to_mm(printed, px)
    missed = []
    for axis in (0, 1):
        for value in np.unique(mm[:, 1 - axis]).tolist():
            row = np.flatnonzero(mm[:, 1 - axis] == value)
            a, b = row[np.argmin(mm[row, axis])], row[np.argmax(mm[row, axis])]
            length = float(np.hypot(*(mm[b] - mm[a])))
            if length >= 0.5 * CHECK_LENGTH_MM:
                missed.append(float(np.hypot(*(at[b] - at[a]))) - length)
    return np.array(missed)


def _doubts(tilt: float, edge_mm: float, off_mm: float, corners: tuple[int, int]) -> tuple[Finding, ...]:
    """The findings on what is allowed but doubtful."""
    measured = (
        (
            "sheet-oblique",
            f"the view is {tilt:.0f}° off vertical",
            (tilt, _DOUBTFUL_TILT_DEG, "deg"),
            "take the picture from straight above",
        ),
        (
            "sheet-blurred",
            f"the picture is blurred: edges are {edge_mm:.1f} mm wide",
            (edge_mm, _DOUBTFUL_EDGE_MM, "mm"),
            "hold still, focus on the paper, add light",
        ),
        (
            "sheet-not-flat",
            f"the paper is not flat: marks are {off_mm:.2f} mm off their places",
            (off_mm, _DOUBTFUL_RESIDUAL_MM, "mm"),
            "lay the paper flat, or press it down with a pane of glass",
        ),
    )
    doubts = [
        doubt(code, message, advice, where="capture sheet", **in_unit(unit, seen, limit=limit))
        for code, message, (seen, limit, unit), advice in measured
        if seen > limit
    ]
    used, sought = corners
    if used < sought:
        left_out = Finding(
            code="sheet-marks-left-out",
            severity=Severity.WARN if used < _FEW * sought else Severity.NOTE,
            message=f"{sought - used} of {sought} corners disagreed with the others and were left out",
            where="capture sheet",
            measured=float(used),
            limit=float(np.ceil(_FEW * sought)),
            advice="lay the paper flat and keep the marks uncovered",
        )
        doubts.append(left_out)
    return tuple(doubts)
